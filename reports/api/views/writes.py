"""What programs send: each through the form and the verb of the page that people use."""

from collections.abc import Callable, Sequence
from typing import Annotated, Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django.utils import timezone
from django.utils.translation import gettext as _
from ninja import Header, Path, Status

from faults.access import notices_for
from faults.notices.services.tickets import OperatorLine
from faults.readings.forms.meter import NotOnAMeter, parse_value
from faults.readings.services.readings import take_reading
from reports.api.forms import ReportSentForm, UnableToRead, checked, schedule_values
from reports.api.services.once import Outcome, Sent, act_once
from reports.api.services.sending import (
    of_one_property,
    outcome_of_reading,
    send_answers,
    send_list,
    send_report,
    send_schedule,
    send_weather,
)
from reports.api.services.shapes import Difference, Done
from reports.api.views.door import Bearer, router, signed_in
from reports.api.views.sent import (
    AnswersIn,
    CentralListIn,
    ReadingIn,
    ReportIn,
    ScheduleIn,
    WeatherIn,
)
from sites.kernel.access import SignedInRequest, find, may_everywhere, properties_for, stations_for
from sites.kernel.engines.roles import Action
from sites.models import Scope, Station, today_at
from sites.reconcile.services.differences import compare
from sites.reconcile.services.lists import lists_for
from sites.water.engines.reference_et import Place

Key = Annotated[
    str,
    Header(
        alias="Idempotency-Key",
        max_length=100,
        description="Sent again with the same key, a request is taken once.",
    ),
]
ANSWERS: dict[Any, Any] = {200: Done, 201: Done}


def _once(
    request: SignedInRequest, operation: str, key: str, act: Callable[[], Outcome]
) -> Status[dict[str, Any]]:
    """Act once under a key: 201, or 200 where it was taken before."""
    token = request.token  # type: ignore[attr-defined]
    sent = Sent(token, operation, key, request.body, timezone.now())
    outcome, was_taken = act_once(sent, act)
    return Status(200 if was_taken else 201, {"ref": outcome.ref, "counts": outcome.counts})


def _stations(request: SignedInRequest, refs: Sequence[str], action: Action) -> list[Station]:
    """Return the stations in the order named; one that the user may not act on is 404."""
    rows = stations_for(request.user, action).select_related("controller__property")
    return [find(rows, ref=ref) for ref in dict.fromkeys(refs)]


@router.post(
    "/faults",
    response=ANSWERS,
    auth=Bearer(Scope.REPORT, Action.REPORT_FAULT),
    tags=["send"],
    operation_id="report_fault",
)
def report(request: HttpRequest, sent: ReportIn, key: Key = "") -> Status[dict[str, Any]]:
    """Report a fault on stations of one property."""
    asked = signed_in(request)

    def act() -> Outcome:
        stations = _stations(asked, sent.stations, Action.REPORT_FAULT)
        place = of_one_property(stations)
        today = today_at(place)
        typed = {**sent.model_dump(exclude={"stations"}), "reported_on": sent.reported_on or today}
        given = {name: value for name, value in typed.items() if value is not None}
        form = ReportSentForm(given, place=place)
        checked(form)
        return send_report(stations, form.report(), by=asked.user, at=timezone.now(), today=today)

    return _once(asked, "report_fault", key, act)


@router.post(
    "/readings",
    response=ANSWERS,
    auth=Bearer(Scope.READINGS, Action.TAKE_READINGS),
    tags=["send"],
    operation_id="take_reading",
)
def reading(request: HttpRequest, sent: ReadingIn, key: Key = "") -> Status[dict[str, Any]]:
    """Enter a reading of one station."""
    asked = signed_in(request)

    def act() -> Outcome:
        (station,) = _stations(asked, [sent.station], Action.TAKE_READINGS)
        today = today_at(station.controller.property)
        values = sent.model_dump(exclude={"station", "value", "taken_on"})
        try:
            value = parse_value(str(sent.value), sent.kind)
        except NotOnAMeter as refusal:
            raise UnableToRead(str(refusal), field="value") from None
        return outcome_of_reading(
            take_reading(
                station=station,
                value=value,
                taken_on=sent.taken_on or today,
                today=today,
                by=asked.user,
                **values,
            )
        )

    return _once(asked, "take_reading", key, act)


@router.post(
    "/central-lists",
    response=ANSWERS,
    auth=Bearer(Scope.CENTRAL, Action.RECONCILE),
    tags=["send"],
    operation_id="send_central_list",
)
def central_list(
    request: HttpRequest, sent: CentralListIn, key: Key = ""
) -> Status[dict[str, Any]]:
    """Bring what the central system lists; it is compared with the register at once."""
    asked = signed_in(request)

    def act() -> Outcome:
        place = None
        if sent.property:
            place = find(
                properties_for(asked.user, Action.RECONCILE).in_care(), code__iexact=sent.property
            )
        return send_list(
            sent.name,
            [row.model_dump() for row in sent.stations],
            place=place,
            by=asked.user,
            at=timezone.now(),
            today=timezone.localdate(),
        )

    return _once(asked, "send_central_list", key, act)


@router.get(
    "/central-lists/{int:number}/differences",
    response=list[Difference],
    auth=Bearer(Scope.CENTRAL, Action.RECONCILE),
    tags=["read"],
    operation_id="central_differences",
)
def differences(request: HttpRequest, number: Annotated[int, Path()]) -> list[dict[str, Any]]:
    """Where a list that was sent and the register differ now."""
    user = signed_in(request).user
    if number >= 2**63:
        number = 0
    central = find(lists_for(user), pk=number)
    return [
        {
            "property_code": line.place.code,
            "controller": line.controller_name,
            "station_number": line.number,
            "station_ref": line.station and line.station.ref,
            "difference": line.difference,
            "is_decided": line.decision is not None,
        }
        for line in compare(central, user).lines
    ]


@router.post(
    "/notices/{ref:ref}/answers",
    response=ANSWERS,
    auth=Bearer(Scope.NOTICES, Action.GIVE_NOTICE),
    tags=["send"],
    operation_id="enter_answers",
)
def answers(
    request: HttpRequest, ref: Annotated[str, Path()], sent: AnswersIn, key: Key = ""
) -> Status[dict[str, Any]]:
    """Enter what owners of buried lines answered to a notice."""
    asked = signed_in(request)

    def act() -> Outcome:
        rows = notices_for(asked.user, Action.GIVE_NOTICE).select_related("property")
        notice = find(rows, ref=ref)
        lines = [OperatorLine(**each.model_dump(), row=None) for each in sent.answers]
        return send_answers(notice, lines, today=today_at(notice.property))

    return _once(asked, f"enter_answers {ref}", key, act)


@router.post(
    "/stations/{ref:ref}/schedule",
    response=ANSWERS,
    auth=Bearer(Scope.SCHEDULES, Action.EDIT_REGISTER),
    tags=["send"],
    operation_id="change_schedule",
)
def schedule(
    request: HttpRequest, ref: Annotated[str, Path()], sent: ScheduleIn, key: Key = ""
) -> Status[dict[str, Any]]:
    """Let another schedule hold for a station from a day on."""
    asked = signed_in(request)

    def act() -> Outcome:
        (station,) = _stations(asked, [ref], Action.EDIT_REGISTER)
        return send_schedule(station, schedule_values(sent.model_dump()), from_on=sent.from_on)

    return _once(asked, f"change_schedule {ref}", key, act)


@router.post(
    "/weather",
    response=ANSWERS,
    auth=Bearer(Scope.WEATHER, Action.EDIT_REGISTER),
    tags=["send"],
    operation_id="send_weather",
)
def weather(request: HttpRequest, sent: WeatherIn, key: Key = "") -> Status[dict[str, Any]]:
    """Bring days of weather: need and rain of a climate table follow from them."""
    asked = signed_in(request)
    if not may_everywhere(asked.user, Action.EDIT_REGISTER):
        raise PermissionDenied(
            _("A climate table holds for all properties, and your role does not.")
        )

    def act() -> Outcome:
        place = Place(sent.latitude, sent.elevation_m, sent.wind_height_m)
        days = [day.model_dump(mode="json") for day in sent.days]
        return send_weather(sent.table, sent.source, days, place=place)

    return _once(asked, "send_weather", key, act)
