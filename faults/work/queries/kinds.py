"""Reads of kinds of job."""

from faults.models import JobKind, KindOfJob
from faults.work.engines.kinds import USUAL, KindFacts


def all_kinds() -> list[tuple[JobKind, KindFacts, bool]]:
    """Return each kind with what it needs, and whether the office has said so; one query."""
    rows = {row.kind: row for row in KindOfJob.objects.order_by("pk")}
    found = []
    for kind in JobKind:
        row = rows.get(kind.value)
        facts = USUAL[kind.value]
        if row is not None:
            facts = KindFacts(row.minutes, row.skill, row.people, row.gear, row.opens_ground)
        found.append((kind, facts, row is not None))
    return found


def rows_of_kind(kind: str) -> list[KindOfJob]:
    """Return what the office has said of a kind: one row, or none."""
    return list(KindOfJob.objects.filter(kind=kind))
