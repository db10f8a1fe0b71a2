"""What broke: faults, breaks and readings."""

from faults.models.answers import Authority, Proof
from faults.models.breaks import Break, Cause, Damage
from faults.models.evidence import Assignment, FaultPhoto, Shows
from faults.models.fault import (
    CLOSED_STAGES,
    HOW_RETURNED_CHOICES,
    STAGE_CHOICES,
    Answer,
    CauseSide,
    Fault,
    FaultStation,
    StageMove,
    Symptom,
)
from faults.models.reading import Reading, ReadingKind, WalkNote, WalkResult

__all__ = [
    "CLOSED_STAGES",
    "HOW_RETURNED_CHOICES",
    "STAGE_CHOICES",
    "Answer",
    "Assignment",
    "Authority",
    "Break",
    "Cause",
    "CauseSide",
    "Damage",
    "Fault",
    "FaultPhoto",
    "FaultStation",
    "Proof",
    "Reading",
    "ReadingKind",
    "Shows",
    "StageMove",
    "Symptom",
    "WalkNote",
    "WalkResult",
]
