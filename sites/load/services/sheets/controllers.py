"""Sheet controllers: clocks, and since when central control reaches them or does not."""

from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from sites.cells.engines.measures import POWER, VOLTS
from sites.cells.engines.raw import Cell
from sites.cells.services.columns import Choice, Manner, Measure, Whole, plain_text, words_for
from sites.cells.services.day_columns import Span
from sites.load.services.book import Named, named
from sites.load.services.load import Load, Notes, PlannedKind
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.common import CONTROLLER, LATITUDE, LONGITUDE, NOTES, PROPERTY, REF
from sites.load.services.work import is_saved
from sites.models import Central, CentralState, Controller, Property, Wiring

OR_BEFORE = " or before"


class Since(Span):
    """A day, a month or a year; "2026-03-15 or before" where only the latest day is known."""

    def read(self, cell: Cell, manner: Manner, unit: str) -> Any:
        """Return the window; of "or before" only its last day counts."""
        text = plain_text(cell)
        if not text.endswith(OR_BEFORE):
            return super().read(cell, manner, unit)
        _first, last = super().read(text.removesuffix(OR_BEFORE), manner, unit)
        return date.min, last


def _since(controller: Controller, state: CentralState | None) -> str:
    if state is None or state.from_on is None or state.state != controller.central:
        return ""
    first = state.from_on.isoformat()
    return first if state.from_is_exact else f"{first}{OR_BEFORE}"


COLUMNS = (
    REF,
    PROPERTY,
    replace(CONTROLLER, shows="name"),
    Whole("stations", also="station count|number of stations|outputs|zones|capacity",
          attribute="station_count", most=9999),
    Measure("output volts", also="volts|output voltage|output", attribute="output_volts",
            dimension=VOLTS),
    Measure("transformer VA", also="transformer|va|transformer power", attribute="transformer_va",
            dimension=POWER),
    Choice(
        "wiring",
        also="wiring type|wire type|cableado",
        attribute="wiring",
        words=words_for(
            [wiring.value for wiring in Wiring],
            one_wire_per_station="conventional|traditional|multi wire|multiwire|per station",
        )
        | dict.fromkeys(
            ("twowire", "2wire", "2wirepath", "decoder", "decoders"), Wiring.TWO_WIRE.value
        ),
    ),
    Choice(
        "central",
        also="central control|central state|link|linked|status|state",
        shows="central",
        words=words_for(
            [state.value for state in Central],
            linked="yes|online|on line|connected|on central|y",
            link_lost="lost|offline|off line|no communication|no comms|down|disconnected",
            not_known="unknown|?|n/k",
            not_meant_to_be_linked="stand alone|standalone|no|not linked|never|n/a|local|n",
        ),
    ),
    Since("since", also="central since|linked since|lost since|from|state since",
          shows=_since),
    LATITUDE,
    LONGITUDE,
    NOTES,
)  # fmt: skip


@dataclass
class LinkNotes(Notes):
    """Controllers whose link changes: the days of all their stations follow."""

    changed: list[Controller] = field(default_factory=list)


def plan(load: Load, sheet: Sheet) -> None:
    """Plan the controllers and the state of their link."""
    shelf = load.book.controllers

    def key(row: Row) -> Named | None:
        place = load.property_of(row)
        return named(place, row.get("controller")) if place else None

    for row, known, _found in load.matched(sheet, shelf, key):
        place = load.property_of(row)
        if place is None or load.is_elsewhere(row, known, place):
            continue
        name = row.get("controller")
        what = f"{place.code} {name}"
        controller = known or new_controller(load, place, name)
        if known is None:
            row.add(what)
        load.put(row, controller, "controller", name, what=what, to="name")
        load.copy(row, controller, what)
        _plan_state(load, row, controller, what)


def new_controller(load: Load, place: Property, name: str) -> Controller:
    """Make a controller whose link is not known."""
    controller = Controller(property=place, name=name)
    load.work.create(controller)
    load.book.controllers.put(controller, named(place, name))
    state = CentralState(controller=controller, state=Central.NOT_KNOWN)
    load.work.create(state)
    load.book.states[controller] = [state]
    return controller


def _plan_state(load: Load, row: Row, controller: Controller, what: str) -> None:
    state, since = row.get("central"), row.get("since")
    if since is not None and state is None:
        state = controller.central
    if state is None:
        return
    states = load.book.states.setdefault(controller, [])
    current = next((each for each in states if each.to_on is None), None)
    first, exact = (since[1], since[0] == since[1]) if since else (None, True)
    if state == Central.LINK_LOST and first is None and (current is None or current.state != state):
        # The register has to start somewhere: at least since the day of the load.
        first, exact = load.today, False
    if current is None or _is_correction(current, state, first):
        _correct(load, row, controller, current, state, first, exact, what)
    elif current.state != state or (first is not None and first != current.from_on):
        _change(
            load, row, controller, current, state, first or load.today, exact and bool(since), what
        )


def _is_correction(current: CentralState, state: str, first: date | None) -> bool:
    """What was not known is learnt, not changed; so is a state's own first day."""
    if not is_saved(current) or current.state == state:
        return True
    return current.state == Central.NOT_KNOWN and current.from_on is None and first is None


def _correct(
    load: Load,
    row: Row,
    controller: Controller,
    current: CentralState | None,
    state: str,
    first: date | None,
    exact: bool,
    what: str,
) -> None:
    if current is None:
        current = CentralState(controller=controller, state=state)
        load.work.create(current)
        load.book.states[controller].append(current)
    old_state, old_first = current.state, current.from_on
    if first is None:
        first, exact = old_first, current.from_is_exact
    if (state, first) == (old_state, old_first) and controller.central == state:
        return
    if _clashes(load, current, first):
        row.problem(
            "since", _("An earlier state of the link lasted longer than this. Correct the day.")
        )
        return
    _tell(row, what, old_state, old_first, state, first, is_new=not is_saved(current))
    for attribute, value in (("state", state), ("from_on", first), ("from_is_exact", exact)):
        if getattr(current, attribute) != value:
            load.work.change(current, attribute, value)
    _follow(load, controller, state)


def _clashes(load: Load, current: CentralState, first: date | None) -> bool:
    before = [
        each.to_on
        for each in load.book.states[current.controller]
        if each is not current and each.to_on is not None
    ]
    return any(first is None or end > first for end in before)


def _change(
    load: Load,
    row: Row,
    controller: Controller,
    current: CentralState,
    state: str,
    first: date,
    exact: bool,
    what: str,
) -> None:
    """Close the state that held until now; the new one starts on its own day."""
    if current.from_on == first:
        _correct(load, row, controller, current, state, first, exact, what)
        return
    if current.from_on is not None and first < current.from_on:
        row.problem(
            "since",
            _(
                "The link is '%(state)s' since %(day)s already. Give a later day, or correct "
                "that first."
            )
            % {"state": current.state, "day": current.from_on.isoformat()},
        )
        return
    _tell(row, what, current.state, current.from_on, state, first, is_new=False)
    load.work.change(current, "to_on", first)
    new = CentralState(controller=controller, state=state, from_on=first, from_is_exact=exact)
    load.work.create(new)
    load.book.states[controller].append(new)
    _follow(load, controller, state)


def _follow(load: Load, controller: Controller, state: str) -> None:
    if controller.central != state:
        load.work.change(controller, "central", state)
    load.notes(LinkNotes).changed.append(controller)


def _tell(
    row: Row,
    what: str,
    old: str,
    old_first: date | None,
    new: str,
    first: date | None,
    *,
    is_new: bool,
) -> None:
    if is_new:
        return
    if old != new:
        row.change(what, "central", old, new)
    if old_first != first:
        row.change(what, "since", str(old_first or ""), str(first or ""))


KIND = PlannedKind(
    "controllers",
    COLUMNS,
    plan=plan,
    also="controller|clocks|controller list|controladores",
    model=Controller,
)
