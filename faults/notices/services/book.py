"""The tickets and rules of many properties at once, read in a fixed number of queries."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from math import ceil
from typing import Any

from faults.models import Job, Notice, NoticeRule
from faults.notices.engines.dig_gate import PlannedDig
from faults.notices.engines.regions import region_key
from faults.notices.services.terms import Judged, judge, zone_of
from sites.models import Property

ONE_DAY_MIN = 24 * 60
SHIFT_MIN = 8 * 60

# While a renewal waits, the ticket before it still lives; older ones than these do not.
MOST_TICKETS = 3

# A fault, or None for the property as a whole.
Key = tuple[int, int | None]


class NoticeBook:
    """The newest tickets of each fault and of each property as a whole, and every rule.

    A fault's own tickets come before those of the property: only where it has none do the
    property's hold for it.
    """

    def __init__(self, notices: dict[Key, list[Notice]], rules: dict[str, NoticeRule]) -> None:
        self._notices, self._rules = notices, rules

    @classmethod
    def of(cls, properties: Iterable[int]) -> "NoticeBook":
        """Read what is needed for these properties; five queries at most."""
        return cls(_newest(set(properties)), rules_by_region())

    def notices_for(self, property_id: int, fault_id: int | None) -> list[Notice]:
        """Return the tickets for a fault, or for work without one, newest first."""
        whole = self._notices.get((property_id, None), [])
        return self._notices.get((property_id, fault_id), whole) if fault_id else whole

    def rule_for(self, place: Property, notice: Notice | None) -> NoticeRule | None:
        """Return the rule by which a ticket was given, or else that of the property's region."""
        by_region = self._rules.get(region_key(place.notice_region))
        if notice is None or notice.rule_id is None:
            return by_region
        kept = (rule for rule in self._rules.values() if rule.pk == notice.rule_id)
        return next(kept, by_region)

    def judge(self, place: Property, fault_id: int | None, dig: PlannedDig | None) -> Judged:
        """Return whether a dig may go here, for this fault: by any ticket, else why not by the
        newest."""
        tickets: list[Notice | None] = [*self.notices_for(place.pk, fault_id)] or [None]
        judged = [self.judge_ticket(each, place, dig) for each in tickets]
        return next((each for each in judged if each.is_clear), judged[0])

    def judge_ticket(
        self, notice: Notice | None, place: Property, dig: PlannedDig | None
    ) -> Judged:
        """Return whether a dig may go by this one ticket, whatever others say."""
        return judge(notice, place=place, rule=self.rule_for(place, notice), dig=dig)


def rules_by_region() -> dict[str, NoticeRule]:
    """Return every rule by its region, with its closed days."""
    rows = NoticeRule.objects.select_related("closed_days").prefetch_related("closed_days__days")
    return {region_key(rule.region): rule for rule in rows.order_by("region", "pk")}


def _newest(properties: set[int]) -> dict[Key, list[Notice]]:
    keys: dict[Key, list[int]] = {}
    rows = Notice.objects.filter(property__in=properties, cancelled_on__isnull=True)
    for pk, place, fault in rows.order_by("-given_at", "-pk").values_list(
        "pk", "property_id", "fault_id"
    ):
        keys.setdefault((place, fault), []).append(pk)
    wanted = {key: pks[:MOST_TICKETS] for key, pks in keys.items()}
    found = Notice.objects.prefetch_related("operators").in_bulk(
        [pk for pks in wanted.values() for pk in pks]
    )
    return {key: [found[pk] for pk in pks] for key, pks in wanted.items()}


def planned_start(job: Job, *, at: datetime) -> datetime:
    """Return when a job is planned to start; without a day, `at`."""
    zone = zone_of(job.property)
    if job.day is None:
        return at.astimezone(zone)
    crew = job.crew if job.crew_id else None
    begins = job.starts_at or (crew.starts_at if crew else None)
    return datetime.combine(job.day, begins, zone) if begins else _of_the_morning(job, zone)


def dig_of(job: Job, *, start: datetime) -> PlannedDig | None:
    """Return the whole dig of a job, or None where it opens no ground.

    What does not fit into a day's hours goes on at the same hour of the next day.
    """
    if not job.digs():
        return None
    shift = _shift_min(job)
    days = ceil(job.expected_minutes / shift) - 1
    rest = job.expected_minutes - days * shift
    local = start.astimezone(zone_of(job.property))
    return PlannedDig(local, local + timedelta(days=days, minutes=rest))


def _shift_min(job: Job) -> int:
    if not job.crew_id or job.crew is None:
        return SHIFT_MIN
    begins, ends = job.crew.starts_at, job.crew.ends_at
    minutes = (ends.hour - begins.hour) * 60 + ends.minute - begins.minute
    return max(1, min(minutes, ONE_DAY_MIN))


def _of_the_morning(job: Job, zone: Any) -> datetime:
    # Seven is when most crews and most centres start: common practice, no source.
    assert job.day is not None
    return datetime(job.day.year, job.day.month, job.day.day, 7, tzinfo=zone)
