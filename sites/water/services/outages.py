"""Verbs on what befell a station's water: days on which nothing ran, and a valve stuck open."""

from datetime import date

from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because, was_wrong
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Outage, OutageKind, Station, StuckOpen

# A month: longer is no incident but a state, which a stopgap "held open" tells.
LONGEST_HOURS = 744


class UnableToNoteWater(UnableToAct):
    """Days or hours that cannot be."""


@verb(
    name="note that nothing ran",
    action=Action.CHANGE_STOPGAPS,
    guard="a first day that has come; it ends after it begins; no other such days overlap",
    undo="take back that nothing ran",
)
def note_outage(
    *,
    station: Station,
    kind: str,
    from_on: date,
    to_on: date | None,
    notes: str,
    today: date,
) -> Outage:
    """Say on which days the schedule did not run; without an end it goes on."""
    _refuse_days(station, from_on, to_on, today, but=None)
    return Outage.objects.create(
        station=station, kind=OutageKind(kind), from_on=from_on, to_on=to_on, notes=notes.strip()
    )


@verb(
    name="change the days on which nothing ran",
    action=Action.CHANGE_STOPGAPS,
    guard="as noting them; they were not taken back",
    undo="change them back, with the values that their history shows",
)
def change_outage(
    *,
    outage: Outage,
    kind: str,
    from_on: date,
    to_on: date | None,
    notes: str,
    today: date,
) -> None:
    """Put its days right, or say when it ended."""
    _refuse_taken_back(outage)
    _refuse_days(outage.station, from_on, to_on, today, but=outage.pk)
    outage.kind, outage.from_on, outage.to_on = OutageKind(kind), from_on, to_on
    outage.notes = notes.strip()
    outage.save()


@verb(
    name="take back that nothing ran",
    action=Action.CHANGE_STOPGAPS,
    guard="it was not taken back; what was wrong, in words",
    undo="note that nothing ran",
)
def take_back_outage(*, outage: Outage, why: str) -> None:
    """Let it hold on no day."""
    _refuse_taken_back(outage)
    reason = was_wrong(why)
    outage.to_on = outage.from_on
    save_because(outage, reason)


@verb(
    name="note that a valve stayed open",
    action=Action.CHANGE_STOPGAPS,
    guard="a day that has come; hours above 0 and at most a month",
    undo="take back that a valve stayed open",
)
def note_stuck_open(
    *, station: Station, on: date, hours: float, notes: str, today: date
) -> StuckOpen:
    """Keep the incident apart from what the schedule gave."""
    refuse_ahead(on, today, field="on")
    if not 0 < hours <= LONGEST_HOURS:
        raise UnableToNoteWater(
            _("For how many hours? More than 0, and at most a month."), field="hours"
        )
    return StuckOpen.objects.create(station=station, on=on, hours=hours, notes=notes.strip())


@verb(
    name="take back that a valve stayed open",
    action=Action.CHANGE_STOPGAPS,
    guard="it was not taken back; what was wrong, in words",
    undo="note that a valve stayed open",
)
def take_back_stuck_open(*, incident: StuckOpen, why: str, today: date) -> None:
    """Take it back: it no longer counts, and stays on record."""
    if incident.withdrawn_on is not None:
        raise UnableToNoteWater(_("This was taken back already."))
    reason = was_wrong(why)
    incident.withdrawn_on = today
    save_because(incident, reason)


def _refuse_taken_back(outage: Outage) -> None:
    if outage.to_on == outage.from_on:
        raise UnableToNoteWater(_("This was taken back already."))


def _refuse_days(
    station: Station, from_on: date, to_on: date | None, today: date, *, but: int | None
) -> None:
    refuse_ahead(from_on, today, field="from_on")
    if to_on is not None and to_on <= from_on:
        raise UnableToNoteWater(
            _("It ends before it begins. Give the day on which it ran again."), field="to_on"
        )
    for other in station.outages.exclude(pk=but or 0):
        if other.to_on == other.from_on:
            continue
        begins_before = to_on is None or other.from_on < to_on
        if begins_before and (other.to_on is None or from_on < other.to_on):
            raise UnableToNoteWater(
                _("These days overlap others that begin on %s. Change those instead.")
                % other.from_on.isoformat(),
                field="from_on",
            )
