"""A round on a day, and what is open after it."""

from datetime import UTC, date, datetime, time, timedelta

from faults.due.services.raising import raise_by_rules
from faults.models import FollowUp, FollowUpKind

TODAY = date(2025, 6, 15)


def at(day: date, hour: int = 17) -> datetime:
    """Return an hour of a day, UTC."""
    return datetime.combine(day, time(hour), UTC)


def round_on(day: date = TODAY, hour: int = 17) -> dict[str, int]:
    """Do one round and return what it did, without noughts."""
    done = raise_by_rules(at=at(day, hour))
    return {word: n for word, n in done.items() if n}


def days_of(kind: FollowUpKind, state: str = "open") -> list[date]:
    """Return the days of follow-ups of a kind in a state, in order."""
    rows = FollowUp.objects.filter(kind=kind, state=state).order_by("due_on", "pk")
    return list(rows.values_list("due_on", flat=True))


def ago(days: int) -> date:
    """Return the day so many days before today."""
    return TODAY - timedelta(days=days)


def ahead(days: int) -> date:
    """Return the day so many days after today."""
    return TODAY + timedelta(days=days)
