"""What broke: faults, breaks and readings; and the work that follows from them."""

from faults.models.answers import Authority, Proof
from faults.models.asked import Asked, ClientAnswer
from faults.models.breaks import Break, Cause, Damage
from faults.models.crew import SKILL_CHOICES, Crew, CrewAway, CrewMember
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
from faults.models.followup import (
    CalendarLink,
    DigestChoice,
    FollowUp,
    FollowUpKind,
    FollowUpRule,
    FollowUpState,
)
from faults.models.job import (
    OPEN_JOB_STATES,
    HeldFor,
    Job,
    JobKind,
    JobLine,
    JobPhoto,
    JobState,
    LineBasis,
    LineKind,
    SafetyAnswer,
)
from faults.models.mail import Beat, OutgoingMail
from faults.models.notice import (
    ClosedDay,
    ClosedDays,
    DigOverride,
    LifeFrom,
    Notice,
    NoticeRule,
    OperatorAnswer,
    OperatorState,
    WaitUnit,
)
from faults.models.reading import Reading, ReadingKind, WalkNote, WalkResult
from faults.models.search import (
    KindOfTest,
    Search,
    SearchNumber,
    SearchOutcome,
    SearchReading,
    SearchTool,
)
from faults.models.sheet import SheetAnswer, SheetItem
from faults.models.wait import MOVER_CHOICES, WAITS_ON_CHOICES, Wait

__all__ = [
    "CLOSED_STAGES",
    "HOW_RETURNED_CHOICES",
    "MOVER_CHOICES",
    "OPEN_JOB_STATES",
    "SKILL_CHOICES",
    "STAGE_CHOICES",
    "WAITS_ON_CHOICES",
    "Answer",
    "Asked",
    "Assignment",
    "Authority",
    "Beat",
    "Break",
    "CalendarLink",
    "Cause",
    "CauseSide",
    "ClientAnswer",
    "ClosedDay",
    "ClosedDays",
    "Crew",
    "CrewAway",
    "CrewMember",
    "Damage",
    "DigOverride",
    "DigestChoice",
    "Fault",
    "FaultPhoto",
    "FaultStation",
    "FollowUp",
    "FollowUpKind",
    "FollowUpRule",
    "FollowUpState",
    "HeldFor",
    "Job",
    "JobKind",
    "JobLine",
    "JobPhoto",
    "JobState",
    "KindOfTest",
    "LifeFrom",
    "LineBasis",
    "LineKind",
    "Notice",
    "NoticeRule",
    "OperatorAnswer",
    "OperatorState",
    "OutgoingMail",
    "Proof",
    "Reading",
    "ReadingKind",
    "SafetyAnswer",
    "Search",
    "SearchNumber",
    "SearchOutcome",
    "SearchReading",
<<<<<<< HEAD
    "SheetAnswer",
    "SheetItem",
=======
    "SearchTool",
>>>>>>> main
    "Shows",
    "StageMove",
    "Symptom",
    "Wait",
    "WaitUnit",
    "WalkNote",
    "WalkResult",
]
