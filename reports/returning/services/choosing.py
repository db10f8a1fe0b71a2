"""The question answered in the background, and the answer as its page shows it."""

from collections.abc import Collection
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone, translation
from django.utils.translation import gettext as _

from reports.returning.engines.choosing import Chosen, Problem, choose, curve, needs_worth
from reports.returning.engines.room import enough_worth
from reports.returning.services.asking import Asked
from reports.returning.services.entering import turn_of
from reports.returning.services.gathering import Case, Gathered, gather
from sites.models import Run, User
from sites.runs.services import Progress, start_run

RETURN_FIRST = "return first"
# So many that are not in say from which worth on they would be; each is a problem of its own.
# Of those that are not known so many are asked exactly, the others by an amount that is enough.
MOST_OUT, MOST_EXACT = 15, 40
# So many say at which flow or area that is: each is worked out two dozen times.
MOST_TURNS = 400
SECONDS = 15.0
SHARES = (0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0)


def start_choosing(*, asked: Asked, by: User, at: datetime) -> Run:
    """Choose in the background; return the run that carries the answer."""
    return start_run(
        service=RETURN_FIRST,
        title=_("Return first"),
        by=by,
        at=at,
        arguments={"user_id": by.pk, "asked": asked.as_arguments()},
    )


def choose_in_background(
    progress: Progress, *, user_id: int, asked: dict[str, Any], **later: Any
) -> dict[str, Any]:
    """Return the answer as its page shows it."""
    user = User.objects.get(pk=user_id)
    with translation.override(user.language), timezone.override(ZoneInfo(user.time_zone)):
        return answer(progress, user=user, asked=Asked.of(asked), at=timezone.now())


def answer(progress: Progress, *, user: User, asked: Asked, at: datetime) -> dict[str, Any]:
    """Choose the set, and say why each is in, what the next would need, and what was assumed."""
    found = gather(progress, user=user, asked=asked, at=at)
    problem = found.problem()
    progress.say(_("Looking for the set that is worth most"))
    best = choose(problem, seconds=SECONDS)
    return {
        "worth": best.worth,
        "minutes": best.load.minutes,
        "money": best.load.money if asked.budget is not None else None,
        "is_proven": best.is_proven,
        "gap": None if best.bound is None else max(0.0, best.bound - best.worth),
        "in": _inside(progress, found, problem, best),
        "out": _outside(progress, found, problem, best),
        "unknown": _unknown(progress, found, problem, best),
        "curve": _curve(progress, problem),
        "set_ups": _shared(found, problem, best),
        **_assumed(found),
    }


def _inside(
    progress: Progress, found: Gathered, problem: Problem, best: Chosen
) -> list[dict[str, Any]]:
    """Each of the set, by what it is worth for an hour of its own, with how far it may fall."""
    rows = []
    for number, key in enumerate(sorted(best.keys)):
        progress.say(_("Saying why each is in"), number, len(best.keys))
        needs = needs_worth(problem, key, best)
        rows.append(_row(found, found.cases[key]) | {"needs": needs})
    return sorted(rows, key=lambda row: (-(row["worth"] or 0.0), row["name"]))


def _outside(
    progress: Progress, found: Gathered, problem: Problem, best: Chosen
) -> list[dict[str, Any]]:
    """The next that are not in: what each lacks to belong there."""
    out = [
        one
        for one in problem.candidates
        if one.key not in best.keys and one.worth is not None and one.worth > 0
    ]
    rows = []
    ordered = sorted(out, key=lambda one: (-(one.worth or 0.0), one.key))
    for number, one in enumerate(ordered[:MOST_OUT]):
        progress.say(_("Saying what the next would need"), number, MOST_OUT)
        needs = needs_worth(problem, one.key, best)
        alone = problem.load_of([one.key])
        rows.append(_row(found, found.cases[one.key]) | {"needs": needs, "alone": alone.minutes})
    return rows


def _unknown(
    progress: Progress, found: Gathered, problem: Problem, best: Chosen
) -> list[dict[str, Any]]:
    """Those whose worth is not known: from which worth on they would be in, and at which input."""
    unknown = [one for one in problem.candidates if one.worth is None]
    rows = []
    # Those that take and share the same need the same: they are one question.
    exact: dict[tuple[object, ...], float | None] = {}
    for number, one in enumerate(unknown):
        progress.say(_("Saying what unknown facts could change"), number, len(unknown))
        case, question = found.cases[one.key], (one.own, one.set_ups)
        if question not in exact and len(exact) < MOST_EXACT:
            exact[question] = needs_worth(problem, one.key, best)
        is_exact = question in exact
        needs = exact[question] if is_exact else enough_worth(problem, one.key, best)
        turn = turn_of(found, case, needs) if needs is not None and number < MOST_TURNS else None
        shown = None if turn is None else [turn.name, turn.value, turn.is_above]
        rows.append(_row(found, case) | {"needs": needs, "turn": shown, "is_exact": is_exact})
    # Those that need least to be in come first: one fact about them decides most.
    return sorted(rows, key=lambda row: (row["needs"] is None, row["needs"] or 0.0))


def _curve(progress: Progress, problem: Problem) -> list[list[float]]:
    minutes = [problem.minutes * share for share in SHARES]
    progress.say(_("Drawing the curve"))
    return [
        [each / 60, one.worth, len(one.keys)]
        for each, one in zip(minutes, curve(problem, minutes), strict=True)
    ]


def _row(found: Gathered, case: Case) -> dict[str, Any]:
    water = case.saving.water
    lacks: Collection[str] = sorted(water.lacks) if case.worth is None else ()
    return {
        "station": case.station.ref,
        "name": str(case.station),
        "place": case.place.ref,
        "place_name": str(case.place),
        "fault": case.fault.ref if case.fault else "",
        "fault_name": str(case.fault) if case.fault else "",
        "step": case.step.value,
        "kind": case.kind.value if case.kind else "",
        "waits_on": case.waits_on.value if case.waits_on else "",
        "off_since": case.off_since.isoformat(),
        "back_on": case.back_on.isoformat(),
        "promised_on": case.promised_on.isoformat() if case.promised_on else "",
        "worth": case.worth,
        "excess_gal": water.excess_gal,
        "water_cost": water.cost,
        "visits": case.saving.visits,
        "visits_cost": case.saving.visits_cost,
        "besides": case.besides,
        "chance": case.chance,
        "minutes": case.own_min,
        "set_ups": list(case.set_ups),
        "lacks": list(lacks),
        "has_rate": found.rates[case.place.pk] is not None,
    }


def _shared(found: Gathered, problem: Problem, best: Chosen) -> list[dict[str, Any]]:
    """What the set shares: drives, and the work on each fault and trench."""
    names = {name for key in best.keys for name in problem.by_key[key].set_ups}
    taking = found.taking
    return [
        {
            "kind": name.split(":")[0],
            "place_name": str(taking.place_of[name]),
            "fault": taking.fault_of[name].ref if name in taking.fault_of else "",
            "fault_name": str(taking.fault_of[name]) if name in taking.fault_of else "",
            "minutes": taking.minutes[name],
        }
        for name in sorted(names, key=lambda name: (str(taking.place_of[name]), name))
    ]


def _assumed(found: Gathered) -> dict[str, Any]:
    return {
        "cases": len(found.cases),
        "the_clients": found.the_clients,
        "other_currency": found.other_currency,
        "answer_days": found.others.answer_days,
        "answers": found.others.answers,
        "search_assumed": sorted(found.taking.assumed),
        "without_place": sorted(found.taking.without_place),
        "without_rule": sorted(found.without_rule),
        "without_rate": sorted(found.without_rate),
    }
