"""Goals that stand, the share now, and in how many plays of the forecast they are reached."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Q
from django.utils.translation import gettext as _

from reports.goals.queries import counts_of, goals_for
from reports.goals.services.words import Best, better_than_ours
from reports.models import Goal
from reports.summaries.services.kept_runs import AHEAD, newest, newest_on, places_of
from sites.cells.services.shown import share_text
from sites.models import Property, Run, RunState, User

# From which share of plays on a goal is on its path, and below which it is off. Our own choice.
ON_PATH, OFF_PATH = 0.8, 0.4
LONGEST_PERCENT = 1


@dataclass(frozen=True)
class Standing:
    """One goal, with how many are off of how many; `chance` is None where it is not known.

    `better` is the simple rule that did better than the forecast: then no chance is stated.
    """

    goal: Goal
    off: int
    stations: int
    chance: float | None
    better: Best | None = None

    @property
    def share(self) -> float | None:
        """The share that is off now; None without any station."""
        return self.off / self.stations if self.stations else None

    @property
    def is_reached(self) -> bool:
        """Whether it is so now."""
        return self.share is not None and 100 * self.share <= self.goal.most_percent + 1e-9

    @property
    def now(self) -> str:
        """The share that is off now."""
        if self.share is None:
            return _("no station")
        said = {"n": self.off, "of": self.stations, "share": percent_text(100 * self.share)}
        return _("%(share)s %% (%(n)s of %(of)s)") % said

    @property
    def aim(self) -> str:
        """The goal in words."""
        said = {"share": percent_text(self.goal.most_percent), "day": self.goal.by_on}
        return _("at most %(share)s %% by %(day)s") % said

    def path(self, today: date) -> str:
        """Say whether it is on its path."""
        if self.goal.by_on <= today:
            return _("its day has come: reached") if self.is_reached else _(
                "its day has come: not reached"
            )  # fmt: skip
        if self.better is Best.SAME:
            return _("whether it is on its path is not known: so far “as many as now” did better "
                     "than our forecasts")  # fmt: skip
        if self.better is Best.LINE:
            return _("whether it is on its path is not known: so far a straight line did better "
                     "than our forecasts")  # fmt: skip
        if self.chance is None:
            return _("whether it is on its path is not known")
        plays = share_text(self.chance)
        if self.chance >= ON_PATH:
            return _("on its path: reached in %s of simulated futures") % plays
        if self.chance < OFF_PATH:
            return _("off its path: reached in %s of simulated futures") % plays
        return _("could go either way: reached in %s of simulated futures") % plays


def percent_text(value: float) -> str:
    """Write percent with one digit where it has one."""
    return f"{round(value, LONGEST_PERCENT):g}"


def forecast_of(user: User) -> Mapping[str, Any] | None:
    """Return the forecast that is kept for what the user sees."""
    run = newest(user, AHEAD)
    return None if run is None else run.result


def standing(user: User) -> list[Standing]:
    """Return the goals that stand, that of all properties first."""
    goals = list(goals_for(user).filter(taken_back_on=None))
    return _with_counts(goals, user, forecast_of(user)) if goals else []


def at_home(
    user: User, forecast: Mapping[str, Any] | None, *, off: int, stations: int, today: date
) -> Standing | None:
    """Return the one goal that home shows: of all properties, else the first to come."""
    goals = list(goals_for(user).filter(taken_back_on=None, by_on__gte=today))
    whole = next((goal for goal in goals if goal.property_id is None), None)
    if whole is not None:
        return Standing(whole, off, stations, *_forecast_for(whole, forecast))
    first = sorted(goals, key=lambda goal: (goal.by_on, goal.pk))[:1]
    return next(iter(_with_counts(first, user, forecast)), None)


def here(user: User, place: Property) -> Standing | None:
    """Return the goal of one property, held against what is and what is forecast."""
    goals = list(goals_for(user).filter(taken_back_on=None, property=place))
    return next(iter(_with_counts(goals, user, forecast_of(user))), None) if goals else None


def now_at(places: Collection[Property], *, is_all: bool) -> list[Standing]:
    """Return the goals of these properties, held against what is and what is forecast.

    Args:
        is_all: whether they are all of the company: then with the goal of all.
    """
    goals = Goal.objects.filter(taken_back_on=None).select_related("property")
    wanted = Q(property__in=places) | (Q(property=None) if is_all else Q(pk__in=()))
    rows = list(goals.filter(wanted))
    if not rows:
        return []
    # A forecast is of all that its asker sees, also where a property is not in care any more.
    every = Property.objects.order_by("pk").values_list("pk", flat=True)
    run = newest_on(list(every), AHEAD) if is_all else _newest_with(rows)
    counts = counts_of([place.pk for place in places])
    return _standings(rows, counts, None if run is None else run.result)


def _newest_with(goals: Collection[Goal]) -> Run | None:
    """Return the newest forecast that holds one of these goals, whatever else it was made of."""
    done = Run.objects.filter(service=AHEAD, state=RunState.DONE)
    holds = done.filter(result__goals__has_any_keys=[goal.ref for goal in goals])
    return holds.order_by("-pk").first()


def _with_counts(
    goals: Collection[Goal], user: User, forecast: Mapping[str, Any] | None
) -> list[Standing]:
    if not goals:
        return []
    is_whole = any(goal.property_id is None for goal in goals)
    named = [goal.property_id for goal in goals if goal.property_id is not None]
    counts = counts_of(places_of(user) if is_whole else named)
    return _standings(goals, counts, forecast)


def _standings(
    goals: Collection[Goal],
    counts: Mapping[int, tuple[int, int]],
    forecast: Mapping[str, Any] | None,
) -> list[Standing]:
    every = tuple(sum(each[n] for each in counts.values()) for n in (0, 1))
    found = []
    for goal in sorted(goals, key=lambda goal: (goal.property_id is not None, goal.by_on, goal.pk)):
        off, stations = every if goal.property_id is None else counts.get(goal.property_id, (0, 0))
        found.append(Standing(goal, off, stations, *_forecast_for(goal, forecast)))
    return found


def _forecast_for(
    goal: Goal, forecast: Mapping[str, Any] | None
) -> tuple[float | None, Best | None]:
    """Return in which share of plays it is reached, unless a simple rule did better."""
    if forecast is None:
        return None, None
    chance: float | None = forecast["goals"].get(goal.ref)
    better = better_than_ours(forecast)
    return (chance, None) if better is None or chance is None else (None, better)
