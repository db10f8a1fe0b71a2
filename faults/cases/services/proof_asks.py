"""What a proof asks of a station: by its wiring, and by whether central reaches its controller.

Office form, phone and verb ask here. On a two-wire path no wire belongs to one station, so there
are no ohms: what its decoder gives is measured instead.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from faults.cases.services.told import Measured, Proving
from faults.models import FaultStation, Symptom
from sites.models import Central, Controller, Wiring

# Central does not reach these, so nothing can be run from there.
NOT_LINKED = frozenset({Central.LINK_LOST.value, Central.NOT_MEANT.value})


@dataclass(frozen=True)
class Wanted:
    """One value to measure: its name in `Measured`, and another that does instead of it."""

    name: str
    label: str
    instead: str = ""


def is_two_wire(row: FaultStation) -> bool:
    """Return whether the station hangs on a two-wire path, behind a decoder."""
    return row.station.controller.wiring == Wiring.TWO_WIRE


def wanted_of(row: FaultStation, symptom: str) -> list[Wanted]:
    """Return what is measured at the station before it counts as proven."""
    if is_two_wire(row):
        return [
            Wanted("volts", _("Volts at its decoder, coil running"), "current_ma"),
            Wanted("current_ma", _("Or the current at its decoder, coil running, mA"), "volts"),
        ]
    wanted = [
        Wanted("volts", _("Volts, coil running")),
        Wanted("ohms", _("Ohms, output off, wire off its terminal")),
    ]
    if symptom == Symptom.LEAK:
        wanted.append(Wanted("megohms", _("Insulation, megohms")))
    return wanted


def lacking(row: FaultStation, symptom: str, measured: Measured) -> tuple[str, str] | None:
    """Return what was not measured, in words, and its name; None where all is there."""
    for one in wanted_of(row, symptom):
        instead = getattr(measured, one.instead) if one.instead else None
        if getattr(measured, one.name) is None and instead is None:
            return _missing(row, one), one.name
    return None


def _missing(row: FaultStation, one: Wanted) -> str:
    if one.instead:
        words = _("%s: enter the volts or the current at its decoder, with the coil running.")
    else:
        words = {
            "volts": _("%s: enter the volts with the coil running."),
            "ohms": _("%s: enter the ohms, with the output off and the wire off its terminal."),
            "megohms": _("%s: the symptom was a leak, so enter the insulation too."),
        }[one.name]
    return words % row.station


def is_run_at_the_clock(controller: Controller) -> bool:
    """Return whether its stations are run at the clock, because central does not reach it.

    Where that is not known the run has to come from central: it shows what nobody knew.
    """
    return controller.central in NOT_LINKED


def minutes_wanted(rows: Iterable[FaultStation]) -> dict[str, tuple[str, list[FaultStation]]]:
    """Return by its name in `Proving` each run that is asked for: its words, its stations."""
    from_central = _("Minutes that it ran from central, not from the clock's face")
    at_the_clock = _("Minutes that it ran, started at the clock")
    wanted: dict[str, tuple[str, list[FaultStation]]] = {}
    for row in rows:
        if is_run_at_the_clock(row.station.controller):
            wanted.setdefault("minutes_at_clock", (at_the_clock, []))[1].append(row)
        else:
            wanted.setdefault("minutes_from_central", (from_central, []))[1].append(row)
    return wanted


def run_lacking(row: FaultStation, proving: Proving) -> tuple[str, str] | None:
    """Return the run that is missing, in words, and its name; None where it is there."""
    clock = row.station.controller
    if is_run_at_the_clock(clock):
        words = _(
            "Central does not reach controller %(clock)s (%(link)s), so the station is proven at "
            "the clock: for how many minutes did it run?"
        ) % {"clock": clock, "link": clock.get_central_display()}
        return None if (proving.minutes_at_clock or 0) >= 1 else (words, "minutes_at_clock")
    words = _("Run it from central, not from the clock's face: for how many minutes did it run?")
    return None if (proving.minutes_from_central or 0) >= 1 else (words, "minutes_from_central")


def notes_on(rows: Sequence[FaultStation]) -> list[str]:
    """Return the sentences that stand on the page: why something else is asked for there."""
    clocks = {row.station.controller_id: row.station.controller for row in rows}
    return [note for clock in clocks.values() for note in _notes_on(clock)]


def _notes_on(clock: Controller) -> Iterable[str]:
    if clock.wiring == Wiring.TWO_WIRE:
        yield (
            _(
                "Controller %s is a two-wire path: no station has ohms of its own there, so its "
                "decoder is measured. Keep insulation testers off the path: their voltage can "
                "destroy decoders."
            )
            % clock
        )
    if is_run_at_the_clock(clock):
        yield _(
            "Central does not reach controller %(clock)s (%(link)s): its stations are proven at "
            "the clock."
        ) % {"clock": clock, "link": clock.get_central_display()}
    elif clock.central == Central.NOT_KNOWN:
        yield (
            _(
                "It is not known whether central reaches controller %s. If it does not, say so on "
                "the controller's page first: then its stations are proven at the clock."
            )
            % clock
        )
