"""Each station off central control that could come back: what it saves, what it takes, and when."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from math import ceil

from django.utils.translation import gettext as _

from faults.models import Fault, JobKind
from faults.prices.engines.pricing import Prices
from faults.prices.services.holding import PriceBook
from faults.readings.services.bring_home import Home, homes_of
from faults.waits.engines.waits import WaitsOn
from reports.returning.engines.choosing import Candidate, Load, Problem
from reports.returning.engines.effort import (
    PROVE_MIN,
    THE_CLIENTS,
    Step,
    days_until,
    lone_minutes,
    shared_minutes,
    step_of,
)
from reports.returning.services.asking import Asked
from reports.returning.services.others import Others, others_for
from reports.returning.services.saving import Saving, Savings
from reports.returning.services.taking import Known, Taking, kind_of, waits_on
from sites.kernel.access import properties_for
from sites.kernel.engines.roles import Action
from sites.models import Property, SpellPart, Station, User, today_at
from sites.register.queries.stations import TO_PROPERTY, off_central_now
from sites.runs.services import Progress
from sites.stopgaps.engines.spells import Reason

MONTH_DAYS = 365.25 / 12
_MAY_BE_WIRE = {Reason.WIRE.value, Reason.NOT_KNOWN.value}


@dataclass(frozen=True)
class Case:
    """One station: what it would save, what its return takes of its own, and what it shares.

    `chance` is how likely its wire is sound, where a loop is to be read first. `besides` is what
    counts in its worth besides what it saves.
    """

    station: Station
    fault: Fault | None
    step: Step
    waits_on: WaitsOn | None
    off_since: date
    back_on: date
    saving: Saving
    worth: float | None
    own_min: float
    set_ups: tuple[str, ...]
    chance: float | None = None
    kind: JobKind | None = None
    promised_on: date | None = None
    besides: float = 0.0

    @property
    def place(self) -> Property:
        """Its property."""
        return self.station.controller.property


@dataclass
class Gathered:
    """All cases, and what was left out or assumed."""

    asked: Asked
    taking: Taking
    others: Others
    savings: Savings
    rates: dict[int, float | None]
    cases: dict[int, Case] = field(default_factory=dict)
    the_clients: int = 0
    other_currency: int = 0
    without_rule: set[str] = field(default_factory=set)
    without_rate: set[str] = field(default_factory=set)

    def problem(self) -> Problem:
        """Return what is to be chosen from; under a budget what has no rate has no worth either."""
        has_budget = self.asked.budget is not None
        candidates = [
            Candidate(
                key,
                None if has_budget and self.rates[case.place.pk] is None else case.worth,
                self._load(case.own_min, case.place),
                case.set_ups,
            )
            for key, case in self.cases.items()
        ]
        set_ups = {
            name: self._load(minutes, self.taking.place_of[name])
            for name, minutes in self.taking.minutes.items()
        }
        return Problem(candidates, set_ups, self.asked.hours * 60, self.asked.budget)

    def _load(self, minutes: float, place: Property) -> Load:
        rate = self.rates.get(place.pk) or 0.0
        return Load(minutes, minutes / 60 * self.asked.people * rate)


def gather(progress: Progress, *, user: User, asked: Asked, at: datetime) -> Gathered:
    """Return every station off central control at whose property this user sees prices."""
    progress.say(_("Reading what is off central control"))
    rows = _rows(user, asked)
    stations = [row.station for row in rows]
    places = list(
        {one.controller.property_id: one.controller.property for one in stations}.values()
    )
    book = PriceBook.of(places)
    prices = {one.pk: book.at(one, today_at(one, at)) for one in places}
    today = max((today_at(one, at) for one in places), default=at.date())
    rates = {pk: each.labour_rate() for pk, each in prices.items()}
    found = Gathered(
        asked,
        Taking(user, Known.of(user, stations), at),
        others_for(user, places, today=today),
        Savings([one.pk for one in stations], today=today),
        {pk: None if rate is None else float(rate) for pk, rate in rates.items()},
    )
    homes = homes_of(stations, today=lambda place: today_at(place, at))
    for number, (row, home) in enumerate(zip(rows, homes, strict=True)):
        progress.say(_("Weighing each station"), number, len(rows))
        _add(found, row, home, prices[home.station.controller.property_id], at)
    return found


def _rows(user: User, asked: Asked) -> list[SpellPart]:
    places = properties_for(user, Action.SEE_RATES)
    if asked.place is not None:
        places = places.filter(pk=asked.place)
    parts = off_central_now(user).filter(**{f"{TO_PROPERTY}__in": places})
    rows = parts.select_related("spell", "station__controller__property__client")
    return list(rows.order_by("station"))


def _add(found: Gathered, row: SpellPart, home: Home, prices: Prices, at: datetime) -> None:
    """Add the case of one station, or count why it is none."""
    asked, station, place = found.asked, row.station, row.station.controller.property
    wait = found.taking.known.waits.get(station.pk)
    if waits_on(wait) in THE_CLIENTS or row.reason == Reason.CLIENT.value:
        found.the_clients += 1
        return
    if not asked.in_water and prices.currency not in ("", asked.currency):
        found.other_currency += 1
        return
    if prices.labour_rate() is None:
        found.without_rate.add(str(place))
    fault, stage = found.taking.known.faults.get(station.pk, (None, None))
    step = step_of(waits_on(wait), stage, is_wire=row.reason in _MAY_BE_WIRE)
    today = today_at(place, at)
    days, has_rule = found.others.at(place, at)
    if not has_rule and step in (Step.SEARCH, Step.MEND):
        found.without_rule.add(str(place))
    set_in = (wait.until - today).days if wait is not None and wait.until else None
    after = days_until(step, waits_on(wait), days, set_in_days=set_in)
    back_on = today + timedelta(days=ceil(after))
    saving = found.savings.of(station.pk, prices, back_on, asked.until)
    promised = found.taking.known.promised.get(fault.pk) if fault is not None else None
    kind = kind_of(step, fault, row.reason)
    own_min, set_ups, chance = _takes(found, station, fault, step, kind, home)
    besides = _besides(asked, row.spell.from_on, promised, today)
    found.cases[station.pk] = Case(
        station=station,
        fault=fault,
        step=step,
        waits_on=waits_on(wait),
        off_since=row.spell.from_on,
        back_on=back_on,
        saving=saving,
        worth=_worth(asked, saving, besides),
        own_min=own_min,
        set_ups=set_ups,
        chance=chance,
        kind=kind,
        promised_on=promised,
        besides=besides,
    )


def _takes(
    found: Gathered,
    station: Station,
    fault: Fault | None,
    step: Step,
    kind: JobKind | None,
    home: Home,
) -> tuple[float, tuple[str, ...], float | None]:
    """Return the station's own minutes, the set-ups that it shares, and the chance of its loop."""
    taking = found.taking
    if step is Step.NOTHING:
        return 0.0, (), None
    drive = taking.drive(station.controller.property)
    if fault is not None:
        return PROVE_MIN, (drive, *taking.fault(fault, step)), None
    takes = taking.takes(None, step)
    if step is Step.TEST:
        return lone_minutes(takes, home.minutes, home.chance), (drive,), home.chance
    if step is Step.REPAIR and kind is not None:
        return PROVE_MIN + taking.usual(kind), (drive,), None
    return PROVE_MIN + shared_minutes(step, takes), (drive,), None


def _worth(asked: Asked, saving: Saving, besides: float) -> float | None:
    """Return what the return of a station is worth to this company; None where it is not known."""
    if asked.in_water:
        return saving.water.excess_gal
    return None if saving.money is None else saving.money + besides


def _besides(asked: Asked, off_since: date, promised: date | None, today: date) -> float:
    """Return what the company sets for time off so far, and for a day that was promised."""
    if asked.in_water:
        return 0.0
    months = max((today - off_since).days, 0) / MONTH_DAYS
    kept = asked.promise_worth if promised is not None and promised < asked.until else 0.0
    return months * asked.month_worth + kept
