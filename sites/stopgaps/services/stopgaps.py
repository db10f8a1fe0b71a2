"""Verbs on stopgaps: fit, fit instead, end, reopen, correct, note what was learnt."""

from collections.abc import Sequence
from datetime import date

from django.db import IntegrityError
from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because, was_wrong
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Device, Property, Station, Stopgap
from sites.stopgaps.services.stopgap_rules import (
    StopgapFacts,
    UnableToFit,
    UnableToFitBesideAnother,
    refuse_beside_another,
    refuse_removal_before_fitting,
    refuse_stations,
    refuse_what_cannot_be,
)


class UnableToEnd(UnableToAct):
    """A stopgap that cannot be ended so."""


class UnableToSayMainValve(UnableToAct):
    """Something said of a master valve that is not there."""


class UnableToReopen(UnableToAct):
    """A stopgap that cannot stand again."""


@verb(
    name="fit a stopgap",
    action=Action.CHANGE_STOPGAPS,
    guard="stations in care of one property; a day that has come, or the day first seen; no other "
    "stopgap of the off kinds on those days; surface wire and doubled need the client's day",
    undo="correct a stopgap, or end it on the day it was fitted",
)
def fit_stopgap(*, stations: Sequence[Station], facts: StopgapFacts, today: date) -> list[Stopgap]:
    """Fit the same stopgap on one or several stations: one device may run several valves."""
    place = _refuse_fitting(stations, facts, today)
    refuse_beside_another(stations, facts)
    return _fit(place, stations, facts)


@verb(
    name="fit a stopgap instead of another",
    action=Action.CHANGE_STOPGAPS,
    guard="as fitting; the one that stands there was fitted on that day or before",
    undo="end the new one on the day it was fitted, then reopen the old one",
)
def fit_instead(
    *, stations: Sequence[Station], facts: StopgapFacts, why: str = "", today: date
) -> list[Stopgap]:
    """End what stands on the stations and fit the new stopgap, both on one day."""
    place = _refuse_fitting(stations, facts, today)
    day = facts.counted_from
    refuse_ahead(day, today, field="fitted")
    old = Stopgap.objects.off_central() if facts.takes_off_central else Stopgap.objects.all()
    for standing in old.open().filter(station__in=stations).order_by("pk"):
        refuse_removal_before_fitting(
            standing.fitted_earliest, standing.first_seen_on, day, field="fitted"
        )
        standing.removed_on = day
        standing.end_reason = why or _("replaced by: %s") % _kind_word(facts.kind)
        standing.save()
    refuse_beside_another(stations, facts)
    return _fit(place, stations, facts)


@verb(
    name="end a stopgap",
    action=Action.CHANGE_STOPGAPS,
    guard="it stands; a reason; a day that has come, on which it stood already",
    undo="reopen a stopgap",
)
def end_stopgaps(*, stopgaps: Sequence[Stopgap], on: date, why: str, today: date) -> None:
    """Take stopgaps away on one day: all valves of one device are one visit."""
    refuse_ahead(on, today, field="on")
    if not why.strip():
        raise UnableToEnd(_("Say in a few words why it ended."), field="why")
    for stopgap in stopgaps:
        if stopgap.removed_on is not None:
            raise UnableToEnd(
                _("This one was taken away on %s already. Correct that day if it is wrong.")
                % stopgap.removed_on.isoformat()
            )
        refuse_removal_before_fitting(
            stopgap.fitted_earliest, stopgap.first_seen_on, on, field="on"
        )
    for stopgap in stopgaps:
        stopgap.removed_on, stopgap.end_reason = on, why.strip()
        stopgap.save()


@verb(
    name="reopen a stopgap",
    action=Action.CHANGE_STOPGAPS,
    guard="it was ended; a reason; no later stopgap of the off kinds; the station is in care",
    undo="end a stopgap",
)
def reopen_stopgap(*, stopgap: Stopgap, why: str) -> None:
    """Reopen a stopgap that was ended by mistake."""
    if stopgap.removed_on is None:
        raise UnableToReopen(_("It stands: nothing to reopen."))
    reason = was_wrong(why)
    refuse_stations([stopgap.station])
    facts = facts_of(stopgap, removed_on=None)
    try:
        refuse_beside_another([stopgap.station], facts, besides=stopgap.pk)
    except UnableToFitBesideAnother as clash:
        raise UnableToReopen(str(clash)) from None
    stopgap.removed_on, stopgap.end_reason = None, ""
    save_because(stopgap, reason)


@verb(
    name="correct a stopgap",
    action=Action.CHANGE_STOPGAPS,
    guard="as fitting; what was wrong, in words",
    undo="correct a stopgap again, with the values that its history shows",
)
def correct_stopgap(*, stopgap: Stopgap, facts: StopgapFacts, why: str, today: date) -> None:
    """Correct what was recorded wrongly: kind, days, reason, device."""
    reason = was_wrong(why)
    refuse_what_cannot_be(facts, today)
    refuse_beside_another([stopgap.station], facts, besides=stopgap.pk)
    device = _device(stopgap.station.controller.property, facts)
    _put(stopgap, facts, device)
    _save(stopgap, reason)


@verb(
    name="note what was learnt of a stopgap",
    action=Action.CHANGE_STOPGAPS,
    guard="days that have come",
    undo="note it again, with the values that its history shows",
)
def note_on_stopgap(
    *,
    stopgap: Stopgap,
    disabled_in_central_on: date | None,
    accepted_by_client_on: date | None,
    agreed_until: date | None,
    notes: str,
    today: date,
) -> None:
    """Keep what is learnt after the fitting: disabled in central, what the client said."""
    facts = facts_of(
        stopgap,
        disabled_in_central_on=disabled_in_central_on,
        accepted_by_client_on=accepted_by_client_on,
        agreed_until=agreed_until,
        notes=notes,
    )
    refuse_what_cannot_be(facts, today)
    _put(stopgap, facts, stopgap.device)
    stopgap.save()


@verb(
    name="say how the master valve runs",
    action=Action.CHANGE_STOPGAPS,
    guard="a station that depends on a master valve or pump; at least one stopgap",
    undo="say it again",
)
def say_main_valve(*, stopgaps: Sequence[Stopgap], main_valve: str) -> None:
    """Keep how the master valve or pump above opens while these stopgaps stand."""
    if not stopgaps:
        raise UnableToSayMainValve(_("Choose at least one stopgap."), field="stopgaps")
    for stopgap in stopgaps:
        if stopgap.station.depends_on_id is None:
            raise UnableToSayMainValve(
                _("%s depends on no master valve or pump. Set that on the station first.")
                % stopgap.station
            )
        stopgap.main_valve = main_valve
        stopgap.save()


def facts_of(stopgap: Stopgap, **other: object) -> StopgapFacts:
    """Return what is recorded of a stopgap, with some of it replaced."""
    window = (stopgap.fitted_earliest, stopgap.fitted_latest)
    known: dict[str, object] = {
        "fitted": window if window[0] and window[1] else None,
        "device": stopgap.device,
        **{name: getattr(stopgap, name) for name in _PLAIN},
    }
    return StopgapFacts(**{**known, **other})  # type: ignore[arg-type]


_PLAIN = (
    "kind",
    "first_seen_on",
    "reason",
    "reason_given",
    "disabled_in_central_on",
    "accepted_by_client_on",
    "agreed_until",
    "main_valve",
    "removed_on",
    "end_reason",
    "notes",
)


def _refuse_fitting(stations: Sequence[Station], facts: StopgapFacts, today: date) -> Property:
    """Look at everything but the days of other stopgaps."""
    place = refuse_stations(stations)
    refuse_what_cannot_be(facts, today)
    return place


def _fit(place: Property, stations: Sequence[Station], facts: StopgapFacts) -> list[Stopgap]:
    device = _device(place, facts)
    fitted = [Stopgap(station=station) for station in stations]
    for stopgap in fitted:
        _put(stopgap, facts, device)
        _save(stopgap)
    return fitted


def _device(place: Property, facts: StopgapFacts) -> Device | None:
    """Return the device meant; a new one starts with new batteries, if its day is known."""
    name = facts.new_device.strip()
    if not name:
        return facts.device
    if place.devices.filter(name__iexact=name).exists():
        raise UnableToFit(
            _("This property has a device of that name. Choose it from the list."),
            field="new_device",
        )
    exact = facts.fitted is not None and facts.fitted[0] == facts.fitted[1]
    return Device.objects.create(
        property=place,
        name=name,
        battery_kind=facts.battery_kind,
        battery_changed_on=facts.fitted[0] if facts.fitted and exact else None,
    )


def _put(stopgap: Stopgap, facts: StopgapFacts, device: Device | None) -> None:
    stopgap.fitted_earliest, stopgap.fitted_latest = facts.fitted or (None, None)
    stopgap.device = device
    for name in _PLAIN:
        setattr(stopgap, name, getattr(facts, name))


def _save(stopgap: Stopgap, why: str = "") -> None:
    """Save; the database has the last word on days that another person took meanwhile."""
    try:
        save_because(stopgap, why)
    except IntegrityError:
        raise UnableToFitBesideAnother(
            _("Another stopgap was recorded on these days meanwhile. Open the station again."),
            field="fitted",
        ) from None


def _kind_word(kind: str) -> str:
    return str(dict(Stopgap._meta.get_field("kind").flatchoices).get(kind, kind))
