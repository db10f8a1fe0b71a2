"""What falls due because a client has not answered yet: ask again, and again after that."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django.db.models import QuerySet

from faults.due.services.family import Candidate, Family, Told, local_day
from faults.models import (
    CLOSED_STAGES,
    Asked,
    FollowUp,
    FollowUpKind,
    FollowUpState,
    QuoteLink,
)


def _without_answer() -> QuerySet[Any]:
    """Questions on open faults that stand without an answer."""
    return (
        Asked.objects.filter(answer="", fault__property__retired_on=None)
        .exclude(fault__stage__in=CLOSED_STAGES)
        .select_related("fault__property")
    )


def _chases(rows: Sequence[Any], told: Told) -> list[Candidate]:
    """Count from the day on which the client was asked, or asked again."""
    again = _asked_again([row.fault_id for row in rows])
    found = []
    for asked in rows:
        last = max([asked.asked_on, *(day for day in again.get(asked.fault_id, []))])
        found.append(
            Candidate(
                f"asked:{asked.pk}:{last.isoformat()}",
                asked.fault.property_id,
                asked.fault.property.time_zone,
                last + timedelta(days=told.days),
                {"fault_id": asked.fault_id},
            )
        )
    return found


def _asked_again(faults: Sequence[int]) -> dict[int, list[date]]:
    done = FollowUp.objects.filter(
        kind=FollowUpKind.CHASE_CLIENT, state=FollowUpState.DONE, fault__in=faults
    )
    days: dict[int, list[date]] = {}
    for fault_id, done_on in done.order_by("pk").values_list("fault_id", "done_on"):
        if fault_id and done_on:
            days.setdefault(fault_id, []).append(done_on)
    # Who gets the quote once more is asked once more.
    links = QuoteLink.objects.filter(quote__fault__in=faults).select_related(
        "quote__fault__property"
    )
    for link in links.order_by("pk"):
        fault = link.quote.fault
        days.setdefault(fault.pk, []).append(local_day(fault.property.time_zone, link.made_at))
    return days


FAMILIES = [Family(FollowUpKind.CHASE_CLIENT, _without_answer, _chases)]
