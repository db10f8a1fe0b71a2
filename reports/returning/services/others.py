"""What others take: answers of clients, notices to owners of buried lines; from our own past."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from faults.access import asked_for
from faults.models import NoticeRule
from faults.notices.engines.regions import region_key
from faults.notices.engines.workdays import first_dig
from faults.notices.services.book import rules_by_region
from faults.notices.services.terms import calendar_of, terms_of, zone_of
from reports.returning.engines.effort import Days, middle_wait
from sites.kernel.engines.roles import Action
from sites.models import Property, User

# Taken where our own past says nothing. Our own choice, shown with each answer.
ANSWER_DAYS = 7.0
HELD_DAYS = 7.0
# Fewer answers say nothing: one slow client would be most of them.
LEAST_ANSWERS = 5


@dataclass(frozen=True)
class Others:
    """How long others take. `answers` questions were asked; below five their days are assumed."""

    answer_days: float
    answers: int
    rules: dict[str, NoticeRule]

    @property
    def is_assumed(self) -> bool:
        """Whether the days of an answer are not from our own past."""
        return self.answers < LEAST_ANSWERS

    def at(self, place: Property, at: datetime) -> tuple[Days, bool]:
        """Return the days at a property, and whether the rule of its notices is known."""
        rule = self.rules.get(region_key(place.notice_region))
        if rule is None:
            return Days(self.answer_days, 0.0, HELD_DAYS), False
        zone = zone_of(place)
        clears = first_dig(terms_of(rule), calendar_of(rule, zone), at.astimezone(zone))
        days = (clears.date() - at.astimezone(zone).date()).days
        return Days(self.answer_days, float(days), HELD_DAYS), True


def others_for(user: User, places: Iterable[Property], *, today: date) -> Others:
    """Return how long others take, from the questions that this user may see.

    A question that is still open counts as a wait of at least its age.
    """
    rows = asked_for(user, Action.SEE_FAULTS).values_list("asked_on", "answered_on")
    waits = [
        (float(((answered or today) - asked).days), answered is not None)
        for asked, answered in rows.order_by("-asked_on", "-pk")[:1000]
    ]
    middle = middle_wait(waits) if len(waits) >= LEAST_ANSWERS else None
    answers = len(waits) if middle is not None else 0
    used = {region_key(place.notice_region) for place in places}
    rules = {region: rule for region, rule in rules_by_region().items() if region in used}
    return Others(ANSWER_DAYS if middle is None else middle, answers, rules)
