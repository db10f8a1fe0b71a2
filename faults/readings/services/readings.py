"""Take readings, and void them when they were wrong."""

from datetime import date

from django.utils.translation import gettext as _

from faults.models import Reading, ReadingKind
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Station, User, Wiring
from sites.register.queries.stations import route_wire
from sites.wires.services.warmth import is_ground_temperature

MOST_OHMS = 10_000_000.0
# Across less than this a short would look like a coil; no solenoid has more. Common practice.
LEAST_COIL_OHMS, MOST_COIL_OHMS = 5.0, 200.0


class UnableToTakeReading(UnableToAct):
    """The value cannot be a reading of this station."""


class UnableToVoidReading(UnableToAct):
    """The reading is voided already."""


@verb(
    name="take a reading",
    action=Action.TAKE_READINGS,
    guard="a value that can be; a two-wire path has no ohms of one station; ohms never with the "
    "valve running",
    undo="void the reading",
)
def take_reading(
    *,
    station: Station,
    kind: str,
    value: float,
    taken_on: date,
    today: date,
    by: User | None,
    taken_by: str = "",
    is_loaded: bool | None = None,
    temperature_f: float | None = None,
    is_new_coil: bool = False,
    notes: str = "",
    across_ohms: float | None = None,
    is_open_apart: bool | None = None,
) -> Reading:
    """Write a reading down, on the wire that serves the station now.

    Args:
        across_ohms: of a bring-home test, the coil at the valve as the same meter shows it.
        is_open_apart: of a bring-home test, whether the two wires read open before.
    """
    _refuse(station, kind, value, taken_on, today)
    _refuse_loop(kind, across_ohms, is_open_apart)
    if temperature_f is not None and not is_ground_temperature(temperature_f):
        raise UnableToTakeReading(
            _("No ground is that cold or that warm: look at the temperature and its unit."),
            field="temperature_f",
        )
    if is_loaded and kind != ReadingKind.VOLTS:
        raise UnableToTakeReading(
            _(
                "Ohms are never read on a live circuit. Switch the output off, take the wire off "
                "its terminal, and measure again."
            ),
            field="is_loaded",
        )
    return Reading.objects.create(
        station=station,
        wire=route_wire(station),
        kind=kind,
        value=value,
        taken_on=taken_on,
        taken_by=taken_by,
        entered_by=by,
        is_loaded=is_loaded,
        temperature_f=temperature_f,
        is_new_coil=is_new_coil,
        notes=notes,
        across_ohms=across_ohms,
        is_open_apart=is_open_apart,
    )


def _refuse(station: Station, kind: str, value: float, taken_on: date, today: date) -> None:
    if station.controller.wiring == Wiring.TWO_WIRE and kind != ReadingKind.VOLTS:
        raise UnableToTakeReading(
            _("A two-wire path carries all its stations: one station has no ohms of its own."),
            field="kind",
        )
    if kind not in ReadingKind.values:
        raise UnableToTakeReading(
            _("There is no reading of the kind “%s”. Choose one of the list.") % kind, field="kind"
        )
    if not 0 <= value <= MOST_OHMS:
        raise UnableToTakeReading(
            _("%s: enter a value from 0 to 10,000,000.") % station, field="value"
        )
    if taken_on > today:
        raise UnableToTakeReading(_("This day has not come yet."), field="taken_on")


def _refuse_loop(kind: str, across_ohms: float | None, is_open_apart: bool | None) -> None:
    if kind != ReadingKind.LOOP and (across_ohms is not None or is_open_apart is not None):
        raise UnableToTakeReading(
            _("Only a bring-home test is read across a coil, or with its wires apart."),
            field="kind",
        )
    if across_ohms is not None and not LEAST_COIL_OHMS <= across_ohms <= MOST_COIL_OHMS:
        raise UnableToTakeReading(
            _("A coil reads between 5 and 200 ohms: measure the coil by itself first."),
            field="across_ohms",
        )


@verb(
    name="void a reading",
    action=Action.TAKE_READINGS,
    guard="not voided before; a reason in words",
    undo="take the reading again: a voided one stays in the history",
)
def void_reading(*, reading: Reading, why: str, today: date) -> Reading:
    """Take a wrong reading out of every judgement; it stays in the history."""
    if reading.voided_on is not None:
        raise UnableToVoidReading(_("This reading is voided already."))
    if not why.strip():
        raise UnableToVoidReading(_("Say why, in a few words."), field="why")
    reading.voided_on, reading.why_voided = today, why.strip()
    reading.save()
    return reading
