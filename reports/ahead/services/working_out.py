"""Work out in the background when all will be back, and how past forecasts did."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, timedelta
from itertools import groupby
from typing import Any

from django.db.models import Q
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from reports.ahead.engines.forecast import AS_NOW, Ahead, Change, Learned, learn, look_ahead
from reports.ahead.engines.past import MONTH
from reports.ahead.engines.queue import WEEK
from reports.ahead.engines.scoring import Held, back_test, score, widened, widening
from reports.ahead.services.gathering import Company, gather
from reports.goals.queries import counts_of
from reports.models import Goal
from reports.summaries.services.kept_runs import places_of
from sites.kernel.lazily import np
from sites.models import User
from sites.runs.services import Progress, UnableToFinish

MONTHS = 24
WEEKS = 106
# Faster answers: clients take half as long. Our own choice.
FASTER = 0.5
MORE_CREW, FASTER_ANSWERS, RETURN_FIRST = "more crew", "faster answers", "return first"


def work_out_in_background(progress: Progress, *, user_id: int, **later: Any) -> dict[str, Any]:
    """Return what the page shows."""
    user = User.objects.get(pk=user_id)
    with translation.override(user.language):
        return worked_out(progress, user=user, today=timezone.localdate())


def worked_out(progress: Progress, *, user: User, today: date) -> dict[str, Any]:
    """Return the forecast as it is kept: plain numbers, no words."""
    progress.say(_("Reading every time off central control"))
    company = gather(progress, user=user, places=places_of(user), today=today, at=timezone.now())
    past, seed = company.past, today.toordinal()
    progress.say(_("Learning from the last year"))
    learned = learn(past, np.random.default_rng([seed, 0]))
    if learned is None:
        raise UnableToFinish(
            _(
                "Too little was seen to look ahead: it takes 90 days of records, and five stations "
                "that came back within the last year."
            )
        )
    words = _("Holding past forecasts against what came")
    held = back_test(past, seed=seed, told=lambda done, of: progress.say(words, done, of))
    factor = widening(held)
    progress.say(_("Playing the coming months"))
    ahead, stay = _look(company, learned, seed, AS_NOW), company.stay.total()
    found = {
        "today": today.isoformat(),
        "off": int(past.open.sum()) + stay,
        "old": past.old(0),
        "stay": stay,
        "undated": company.undated,
        "since": (today + timedelta(days=past.since)).isoformat(),
        "plays": len(ahead.played.off_on),
        "returns": _points(learned.returns * MONTH / WEEK),
        "waits": _points(learned.waits),
        "minutes": company.minutes,
        "answers": company.answers,
        "crews": company.crews,
        "goes_off": _points(_new(ahead) / 12),
        "widened": factor,
        "scores": _scores(held),
        "months": [
            [day.isoformat(), *_band(ahead, _from(today, day), factor, stay)]
            for day in _month_ends(today)
        ],
        "goals": _goals(company, ahead, today, factor),
        **_outcome(ahead, today, factor, stay),
    }
    found["changes"] = [
        {"name": name, **_outcome(_look(company, learned, seed, change), today, factor, stay)}
        for name, change in _changes(progress, company)
    ]
    return found


def _look(company: Company, learned: Learned, seed: int, change: Change) -> Ahead:
    known = company.known
    return look_ahead(company.past, learned, weeks=WEEKS, seed=seed, known=known, change=change)


def _changes(progress: Progress, company: Company) -> list[tuple[str, Change]]:
    progress.say(_("Playing what would change it"))
    found = []
    if company.crews:
        more = (company.crews + 1) / company.crews
        found.append((MORE_CREW, Change(more_returns=more)))
    if len(company.known.answers) and company.known.asked:
        found.append((FASTER_ANSWERS, Change(answers=FASTER)))
    if len(company.known.work) and bool(np.isfinite(company.known.worth).any()):
        found.append((RETURN_FIRST, Change(by_worth=True)))
    return found


def _points(values: Any) -> list[float]:
    return [float(each) for each in np.percentile(values, [5, 50, 95])]


def _new(ahead: Ahead) -> Any:
    """Return how many go off within a year, by play."""
    return ((ahead.played.off_on > 0) & (ahead.played.off_on <= 365)).sum(1)


def _month_ends(today: date) -> list[date]:
    """Return today, and the last day of this month and of those that follow."""
    days, first = [today], today.replace(day=1)
    while len(days) <= MONTHS:
        first = (first + timedelta(days=32)).replace(day=1)
        if first - timedelta(days=1) > today:
            days.append(first - timedelta(days=1))
    return days


def _from(today: date, day: date) -> float:
    return float((day - today).days)


def _band(ahead: Ahead, day: float, factor: float, stay: int) -> list[float]:
    """Return the points of the band, with those that stay off by the client's choice."""
    return [point + stay for point in widened(ahead.band(day), factor)]


def _outcome(ahead: Ahead, today: date, factor: float, stay: int) -> dict[str, Any]:
    none_old = ahead.none_old_by()
    return {
        "half_year": _band(ahead, 6 * MONTH, factor, stay),
        "year": _band(ahead, 12 * MONTH, factor, stay),
        "days_off": float(ahead.played.days_off(365).mean()) + 365 * stay,
        "old_year": float(np.median(ahead.played.old(365))),
        "none_old_on": None if none_old is None else (today + timedelta(days=none_old)).isoformat(),
    }


def _scores(held: Sequence[Held]) -> dict[str, Any]:
    """Return the score of past forecasts: all, and by how far ahead."""
    held = sorted(held, key=lambda one: one.months)
    found: dict[str, Any] = {"all": None, "months": []}
    every = score(held)
    if every is None:
        return found
    found["all"] = {**asdict(every), "usual": list(every.usual)}
    for months, group in groupby(held, key=lambda one: one.months):
        part = score(list(group))
        if part is not None:
            found["months"].append({"months": months, **asdict(part)})
    return found


def _goals(company: Company, ahead: Ahead, today: date, factor: float) -> dict[str, float]:
    """Return in which share of plays each goal that stands is reached, by its reference.

    Those off by the client's choice stay off; the number of stations is that of today.
    """
    numbers = {place: n for n, place in enumerate(company.places)}
    goals = Goal.objects.filter(taken_back_on=None, by_on__gt=today).order_by("pk")
    counts = counts_of(company.places)
    found = {}
    for goal in goals.filter(Q(property=None) | Q(property__in=company.places)):
        day = (goal.by_on - today).days
        if day > WEEKS * WEEK:
            continue
        if goal.property_id is None:
            stations, stay = sum(each[1] for each in counts.values()), company.stay.total()
        else:
            stations = counts.get(goal.property_id, (0, 0))[1]
            stay = company.stay[goal.property_id]
        most = goal.most_percent / 100 * stations - stay
        place = None if goal.property_id is None else numbers[goal.property_id]
        found[goal.ref] = ahead.chance_at_most(day, most, place, widened=factor)
    return found
