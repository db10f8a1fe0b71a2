"""Report a fault, and correct what was reported."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django.utils.translation import gettext as _

from faults.cases.engines.stages import Stage
from faults.cases.services.naming import next_key
from faults.models import (
    CLOSED_STAGES,
    Answer,
    CauseSide,
    Fault,
    FaultStation,
    Reading,
    ReadingKind,
    StageMove,
    Symptom,
)
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because, was_wrong
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Property, Station, User, Wiring
from sites.register.queries.stations import controller_point, route_wire


class UnableToReport(UnableToAct):
    """The report cannot be kept so."""


class UnableToReportTwice(UnableToReport):
    """An open fault stops one of the stations already; `fault` is that one."""

    def __init__(self, standing: FaultStation) -> None:
        self.fault, self.station = standing.fault, standing.station
        super().__init__(
            _(
                "%(station)s has an open fault already: %(fault)s. Add what you know there, or "
                "leave this station out."
            )
            % {"station": standing.station, "fault": standing.fault},
            field="stations",
        )


@dataclass(frozen=True)
class Report:
    """What the caller says. `ohms` were read on the first station's wire, if anyone did."""

    reported_on: date
    symptom: str = Symptom.NOT_KNOWN.value
    summary: str = ""
    opens_by_hand: str = ""
    others_run: str = ""
    ohms: float | None = None
    caller: str = ""
    order_number: str = ""
    promised_on: date | None = None
    runs_with: Station | None = None
    promised_from: time | None = None
    promised_until: time | None = None


@verb(
    name="report a fault",
    action=Action.REPORT_FAULT,
    guard="stations in care of one property, none with an open fault; a day that has come; "
    "nothing promised for a day before it, and times only for a day, both or neither",
    undo="withdraw its stations, with a reason",
)
def report_fault(
    *,
    place: Property,
    stations: Sequence[Station],
    report: Report,
    by: User,
    at: datetime,
    today: date,
) -> Fault:
    """Keep a new fault on one or several stations; its key continues the property's own.

    Raises:
        UnableToReport: with what to do instead.
    """
    # The property is locked: two calls at once get two keys, and one station one fault.
    _refuse_report(place, stations, report, today)
    fault = Fault(property=place, key=next_key(place), stage=Stage.REPORTED.value)
    _put(fault, report)
    fault.save()
    for station in stations:
        _stop(fault, station, by=by, at=at)
    if report.ohms is not None:
        _keep_ohms(stations[0], report, by)
    return fault


@verb(
    name="correct what was reported",
    action=Action.RECORD_BREAK,
    guard="a day that has come, not after the fault's first move; what was wrong, in words",
    undo="correct it again, with the values that its history shows",
)
def correct_report(*, fault: Fault, report: Report, why: str, today: date) -> None:
    """Correct the symptom, the day, or the answers: the side of the cause follows them."""
    reason = was_wrong(why)
    refuse_ahead(report.reported_on, today, field="reported_on")
    _refuse_promise(report)
    stations = Station.objects.filter(pk__in=fault.stations.values("station"))
    _refuse_other(fault.property, list(stations), report)
    _refuse_after_a_move(fault, report.reported_on)
    _put(fault, report)
    save_because(fault, reason)


def refuse_second_open_fault(stations: Sequence[Station], *, besides: Fault | None = None) -> None:
    """Refuse stations that another open fault stops.

    Raises:
        UnableToReportTwice: naming the open one.
    """
    standing = (
        FaultStation.objects.filter(station__in=[station.pk for station in stations])
        .exclude(stage__in=CLOSED_STAGES)
        .exclude(fault=besides)
        .select_related("fault", "station__controller")
        .order_by("station__controller__name", "station__number", "pk")
        .first()
    )
    if standing is not None:
        raise UnableToReportTwice(standing)


def _refuse_report(
    place: Property, stations: Sequence[Station], report: Report, today: date
) -> None:
    refuse_ahead(report.reported_on, today, field="reported_on")
    _refuse_promise(report)
    if not stations:
        raise UnableToReport(_("Name at least one station."), field="stations")
    _refuse_other(place, stations, report)
    for station in stations:
        if station.controller.property_id != place.pk:
            raise UnableToReport(
                _("%(station)s does not belong to %(place)s. Report it there.")
                % {"station": station, "place": place},
                field="stations",
            )
        if station.retired_on or station.controller.retired_on or place.retired_on:
            raise UnableToReport(
                _("%s is retired. Bring it back first.") % station, field="stations"
            )
    if report.ohms is not None and stations[0].controller.wiring == Wiring.TWO_WIRE:
        raise UnableToReport(
            _("A two-wire path carries all its stations: one station has no ohms of its own."),
            field="ohms",
        )
    refuse_second_open_fault(stations)


def _refuse_promise(report: Report) -> None:
    since, until = report.promised_from, report.promised_until
    if (since is None) != (until is None):
        raise UnableToReport(
            _("Enter both times between which somebody was promised to come, or neither."),
            field="promised_until" if until is None else "promised_from",
        )
    if since is not None and report.promised_on is None:
        raise UnableToReport(
            _("Times are promised for a day: enter the day too."), field="promised_on"
        )
    if since is not None and until is not None and until <= since:
        raise UnableToReport(
            _("The promised times end before they begin. Correct one of them."),
            field="promised_until",
        )
    if report.promised_on is not None and report.promised_on < report.reported_on:
        raise UnableToReport(
            _("Nothing was promised for a day before the report. Correct one of the days."),
            field="promised_on",
        )


def _refuse_other(place: Property, stations: Sequence[Station], report: Report) -> None:
    """Refuse a second station where the symptom is not about two, or that is no second one."""
    other = report.runs_with
    if other is None:
        return
    if report.symptom != Symptom.RUNS_WITH:
        raise UnableToReport(
            _("Only what runs with another has another. Choose that symptom, or leave this empty."),
            field="runs_with",
        )
    if other.controller.property_id != place.pk:
        raise UnableToReport(
            _("%(station)s does not belong to %(place)s.") % {"station": other, "place": place},
            field="runs_with",
        )
    if [station.pk for station in stations] == [other.pk]:
        raise UnableToReport(
            _("%s is the station itself. Name the other one that comes on.") % other,
            field="runs_with",
        )


def _put(fault: Fault, report: Report) -> None:
    fault.reported_on = report.reported_on
    fault.symptom, fault.summary = report.symptom, report.summary
    fault.others_run = report.others_run
    fault.opens_by_hand = report.opens_by_hand
    fault.caller = " ".join(report.caller.split())
    fault.order_number = " ".join(report.order_number.split())
    fault.promised_on = report.promised_on
    fault.promised_from, fault.promised_until = report.promised_from, report.promised_until
    fault.runs_with = report.runs_with
    # A valve that does not open by hand has no water or is stuck: the wire is not to blame.
    if report.opens_by_hand == Answer.NO:
        fault.cause_side = CauseSide.VALVE
    elif report.opens_by_hand == Answer.YES and fault.cause_side == CauseSide.VALVE:
        fault.cause_side = ""


def _stop(fault: Fault, station: Station, *, by: User, at: datetime) -> None:
    row = FaultStation.objects.create(fault=fault, station=station, stage=Stage.REPORTED.value)
    StageMove.objects.create(
        fault_station=row,
        to_stage=Stage.REPORTED.value,
        on=fault.reported_on,
        moved_at=at,
        by=by,
    )


def _keep_ohms(station: Station, report: Report, by: User) -> None:
    wire = route_wire(station)
    Reading.objects.create(
        station=station,
        wire=wire,
        point=controller_point(station, wire),
        kind=ReadingKind.OHMS,
        value=report.ohms or 0.0,
        taken_on=report.reported_on,
        taken_by=str(by)[:60],
        entered_by=by,
    )


def _refuse_after_a_move(fault: Fault, reported_on: date) -> None:
    first = (
        StageMove.objects.filter(fault_station__fault=fault, on__isnull=False)
        .exclude(from_stage="")
        .order_by("on")
        .first()
    )
    if first is not None and first.on is not None and reported_on > first.on:
        raise UnableToReport(
            _("The fault moved on %s already: it was reported on that day or before.")
            % first.on.isoformat(),
            field="reported_on",
        )
