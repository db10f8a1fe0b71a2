"""A fault whose stations come back on several days: each has its own promise. Rules of our own."""

from datetime import date, timedelta

import pytest

from faults.cases.engines.stages import Stage
from faults.models import Fault, FaultStation, Job, Promise, StageMove
from faults.promises.services.outlook import outlook_of
from faults.promises.services.parts import Part, stations_apart
from faults.promises.services.promising import offers_of, promise_a_day
from faults.promises.services.standing import (
    in_order,
    is_kept,
    is_over,
    promises_of_station,
    standing_promises,
)
from faults.promises.services.words import letters
from faults.rota.services.promised import promised_of
from sites.kernel.engines.roles import Role
from sites.models import Station
from tests import make, make_due
from tests.services.promises.finished import ago
from tests.services.promises.test_promises import NOW, TODAY, planned, round_on

pytestmark = pytest.mark.django_db


def day(count: int) -> date:
    return TODAY + timedelta(days=count)


def apart() -> tuple[Fault, Station, Station, Job, Job]:
    """Two stations of one fault, the second of which is visited ten days later."""
    one = make.station()
    other = make.station(controller=one.controller)
    fault = make.fault(one, other, reported_on=ago(1))
    soon = planned(fault, in_days=2, stations=[one])
    late = planned(fault, in_days=12, stations=[other])
    return fault, one, other, soon, late


def back(fault: Fault, station: Station, on: date, stage: Stage = Stage.RETURNED) -> None:
    """Let one station be over on a day."""
    row = FaultStation.objects.get(fault=fault, station=station)
    StageMove.objects.create(
        fault_station=row, from_stage=row.stage, to_stage=stage.value, on=on, moved_at=NOW
    )
    FaultStation.objects.filter(pk=row.pk).update(stage=stage.value)


def kept(promise: Promise, at: timedelta = timedelta()) -> bool | None:
    return is_kept(in_order(Promise.objects.filter(pk=promise.pk)).get(), at=NOW + at)


def test_two_visits_on_two_days_give_each_station_its_own_days() -> None:
    fault, one, other, _soon, _late = apart()
    offers = offers_of(fault, today=TODAY, at=NOW)
    days = {
        station: next(each.by_on for each in offers if each.station == station and each.tenths == 8)
        for station in (None, one, other)
    }
    assert day(2) <= days[one] < days[other]
    assert day(12) <= days[other]
    # The whole is over when the last one is.
    assert days[None] == days[other]


def test_one_visit_for_both_and_a_single_station_have_one_day() -> None:
    fault, one, other, _soon, late = apart()
    late.delete()
    Job.objects.get(fault=fault).stations.set([one, other])
    assert stations_apart(fault) == []
    assert {each.station for each in offers_of(fault, today=TODAY, at=NOW)} == {None}
    # A visit that names no station is for all of them.
    planned(fault, in_days=12)
    assert stations_apart(fault) == []
    # Who has no visit at all yet differs from who has one.
    Job.objects.filter(fault=fault, stations=one).get().stations.set([one])
    assert stations_apart(fault) == [one, other]
    # One that is back needs no day.
    back(fault, one, TODAY)
    assert stations_apart(fault) == []


def test_a_station_follows_its_own_visit_alone() -> None:
    fault, one, other, _soon, late = apart()
    before = [outlook_of(Part(fault, each), at=NOW).chance(14) for each in (one, other)]
    Job.objects.filter(pk=late.pk).update(day=day(30))
    after = [outlook_of(Part(fault, each), at=NOW).chance(14) for each in (one, other)]
    assert before[0] == after[0] > 0
    assert before[1] > after[1] == 0


def test_a_station_promise_is_kept_by_its_own_return() -> None:
    fault, one, other, _soon, _late = apart()
    offer = next(each for each in offers_of(fault, today=TODAY, at=NOW) if each.station == one)
    user = make.user(Role.OWNER)
    given = promise_a_day(fault=fault, offer=offer, said_to="Ann", by=user, today=TODAY, at=NOW)
    assert (given.station, given.by_on, given.tenths) == (one, offer.by_on, offer.tenths)
    assert kept(given) is None
    length = given.by_on - TODAY
    assert (kept(given, length), kept(given, length + timedelta(days=1))) == (None, False)
    back(fault, one, given.by_on)
    assert kept(given) is True
    late = make_due.promise(fault, station=one, by_on=given.by_on - timedelta(days=1))
    assert kept(late) is False
    lost = make_due.promise(fault, station=other)
    back(fault, other, TODAY, Stage.GIVEN_UP)
    assert kept(lost) is None
    assert [is_over(row) for row in in_order(Promise.objects.all())] == [True, True, True]


def test_each_station_has_its_standing_promise_beside_that_of_the_fault() -> None:
    fault, one, other, _soon, _late = apart()
    make_due.promise(fault, station=one, by_on=day(4))
    newer = make_due.promise(fault, station=one, by_on=day(6))
    whole = make_due.promise(fault, by_on=day(30))
    assert set(standing_promises()) == {newer, whole}
    user = make.user(Role.DISPATCHER)
    assert promises_of_station(user, one) == [newer]
    assert promises_of_station(user, other) == [whole]
    assert promises_of_station(make.user(Role.CLIENT, client=fault.property.client), one) == []
    back(fault, one, TODAY)
    assert set(standing_promises()) == {whole}
    assert promises_of_station(user, one) == []


def test_it_slips_by_its_own_visit() -> None:
    fault, one, _other, soon, late = apart()
    make_due.promise(fault, station=one, by_on=day(8))
    assert round_on() == []
    Job.objects.filter(pk=late.pk).update(day=day(60))
    assert round_on() == []
    Job.objects.filter(pk=soon.pk).update(day=day(20))
    assert [row.fault_id for row in round_on()] == [fault.pk]


def test_the_rota_is_bound_by_it_on_its_own_visits() -> None:
    fault, one, _other, soon, late = apart()
    make_due.promise(fault, station=one, by_on=day(3))
    whole = planned(fault, in_days=5)
    rows = [Job.objects.get(pk=each.pk) for each in (soon, late, whole)]
    found = promised_of(rows, today=TODAY)
    assert {key: each.by_on for key, each in found.items()} == {soon.pk: day(3), whole.pk: day(3)}


def test_the_words_name_each_station_with_its_day() -> None:
    fault, one, other, _soon, _late = apart()
    first = make_due.promise(fault, station=one, by_on=date(2026, 6, 11))
    second = make_due.promise(fault, station=other, by_on=date(2026, 6, 22), tenths=9)
    english, spanish = (words for _code, _name, words in letters(first))
    assert f"station {one}" in english
    assert "by Thursday 11 June 2026, 8 times of ten" in english
    assert english.endswith(f"Station {other}: by Monday 22 June 2026, 9 times of ten.")
    assert f"Estación {other}: " in spanish
    assert f"Station {one}: by Thursday" in letters(second)[0][2]
    # Of the whole, both are named with theirs.
    whole = letters(make_due.promise(fault, by_on=date(2026, 6, 22)))[0][2]
    assert whole.count("Station ") == 2
