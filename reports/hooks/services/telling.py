"""Write down what programs are to be told, in the transaction of what happened.

A program is told what its user sees, within its limit, and of what it was set up for.
"""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import uuid4

from django.db import transaction
from django.utils import timezone

from faults.due.services.outbox import ask_a_worker
from reports.api.services.rows import named_station, off_row, report_row
from reports.api.services.shapes import IssuedReport, OffCentral
from reports.hooks.queries import (
    is_report_seen,
    last_parts,
    named_stations,
    not_meant,
    stations_seen,
    told_of,
)
from reports.hooks.services.shapes import Because, Data, Returned, Tested, body_of
from reports.models import Delivery, Happened, Receiver, Report
from reports.off_central.queries import off_central_rows
from sites.models import CentralState, SpellPart, Station, User
from sites.people.services.limiting import narrowed

AT_ONCE = 500
OF_STATIONS = (Happened.OFF_CENTRAL.value, Happened.RETURNED.value)


@dataclass
class _Held:
    """Stations that went off, and those that are off no more with their first day off."""

    went_off: list[int] = field(default_factory=list)
    no_more_off: dict[int, date] = field(default_factory=dict)


_held: ContextVar[_Held | None] = ContextVar("held until settled", default=None)


@contextmanager
def told_when_settled() -> Iterator[None]:
    """Hold back what is told of stations until all that follows is rebuilt: waits follow spells."""
    held = _Held()
    token = _held.set(held)
    try:
        yield
    finally:
        _held.reset(token)
    _tell(held)


def tell_of_spells(
    went_off: Sequence[int] = (), no_more_off: Mapping[int, date] | None = None, **_: Any
) -> None:
    """Tell of stations that went off central control, or are off no more, at the verb's end.

    Args:
        no_more_off: the first day off by the station's key, as it was.
    """
    held = _held.get()
    if held is None:
        _tell(_Held(list(went_off), dict(no_more_off or {})))
    else:
        held.went_off += went_off
        held.no_more_off |= no_more_off or {}


def _tell(held: _Held) -> None:
    is_any = held.went_off or held.no_more_off
    receivers = told_of(OF_STATIONS) if is_any else []
    if not receivers:
        return
    at = timezone.now()
    ended = list(_no_more_off(held.no_more_off))
    rows = []
    for receiver in receivers:
        kinds, user = receiver.kind_set(), user_of(receiver)
        seen = stations_seen(user, {station for _kind, station, _data in ended})
        theirs = [each for each in ended if each[1] in seen]
        for kind, station, data in [*_gone_off(user, held.went_off), *theirs]:
            if kind.value in kinds:
                rows.append(_row(receiver, kind, data, at, station_id=station))
    put_out(rows)


def tell_of_report(report: Report, **_: Any) -> None:
    """Tell of a report that was issued."""
    at = timezone.now()
    kind = Happened.REPORT_ISSUED
    put_out(
        [
            _row(receiver, kind, IssuedReport(**report_row(report)), at, report=report)
            for receiver in told_of([kind.value])
            if is_report_seen(user_of(receiver), report)
        ]
    )


def tell_as_a_test(receiver: Receiver, *, at: datetime) -> Delivery:
    """Write down a message that says that it is a test."""
    row = _row(receiver, Happened.TEST, Tested(says="This is a test."), at)
    put_out([row])
    return row


def put_out(rows: Sequence[Delivery]) -> None:
    """Keep messages, and let a worker send them once the transaction is over."""
    if not rows:
        return
    Delivery.objects.bulk_create(rows, batch_size=AT_ONCE)
    send_soon()


def send_soon() -> None:
    """Ask a worker to send what waits, once the transaction is over."""
    transaction.on_commit(lambda: ask_a_worker("reports.tell_programs"))


def user_of(receiver: Receiver) -> User:
    """Return for whom a program listens, narrowed to its limit."""
    user = receiver.user
    user.held_grants = narrowed(user.held_grants, receiver)
    return user


def _row(receiver: Receiver, kind: Happened, data: Data, at: datetime, **about: object) -> Delivery:
    key = uuid4()
    body = body_of(key, kind.value, at, data)
    return Delivery(
        key=key, receiver=receiver, kind=kind, body=body, made_at=at, next_try_at=at, **about
    )


def _gone_off(user: User, stations: Sequence[int]) -> Iterator[tuple[Happened, int, Data]]:
    """As the list of what is off has them for this user, with the fault and the wait."""
    if stations:
        for row in off_central_rows(user).filter(station__in=stations).order_by("pk"):
            yield Happened.OFF_CENTRAL, row.station_id, OffCentral(**off_row(row, None))


def _no_more_off(ended: Mapping[int, date]) -> Iterator[tuple[Happened, int, Data]]:
    parts, stations = last_parts(ended), named_stations(ended)
    states = not_meant({station.controller_id for station in stations.values()})
    for pk, station in stations.items():
        part = parts.get(pk)
        # What ended before the spell began that is gone now is another one.
        if part is not None and (part.to_on is None or part.to_on < ended[pk]):
            part = None
        yield Happened.RETURNED, pk, _returned(station, part, states)


def _returned(station: Station, part: SpellPart | None, states: Sequence[CentralState]) -> Returned:
    until = part.to_on if part is not None else None
    was = None if part is None else OffCentral(**off_row(part, until))
    because = "corrected" if until is None else _because(station, until, states)
    return Returned(**named_station(station), because=because, until=until, was_off=was)


def _because(station: Station, until: date, states: Sequence[CentralState]) -> Because:
    """Why a station is off no more from a day on."""
    clock = station.controller
    days = (station.retired_on, clock.retired_on, clock.property.retired_on)
    if any(day is not None and day <= until for day in days):
        return "retired"
    for state in states:
        begun = state.from_on is None or state.from_on <= until
        if state.controller_id == clock.pk and begun and (not state.to_on or until < state.to_on):
            return "not meant for central"
    return "returned"
