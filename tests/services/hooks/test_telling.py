"""What programs are to be told is written with the fact, for whom it is meant and nobody else."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest

from reports.hooks.services.telling import user_of
from reports.models import Audience, Delivery, Receiver, WhyOff
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import as_one_change
from sites.models import Central, CentralState, Station, Stopgap, User
from sites.stopgaps.services.stopgap_rules import StopgapFacts
from sites.stopgaps.services.stopgaps import UnableToEnd, end_stopgaps, fit_instead, fit_stopgap
from tests import make, make_hooks, make_reports
from tests.make import TODAY
from tests.make_hooks import told
from tests.make_tokens import all_of, token

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    return make.user(Role.OWNER)


@pytest.fixture
def display(owner: User) -> Receiver:
    return make_hooks.receiver(owner)


def ago(days: int) -> date:
    return TODAY - timedelta(days=days)


def fitted(station: Station, days: int = 5) -> Stopgap:
    day = ago(days)
    facts = StopgapFacts(kind="battery timer", reason="wire", fitted=(day, day), new_device="BT 1")
    return fit_stopgap(stations=[station], facts=facts, today=TODAY)[0]


def test_a_station_that_goes_off_is_told_as_the_api_tells_it(
    owner: User, display: Receiver
) -> None:
    station = make.station()
    fitted(station)
    (message,) = told()
    (row,) = all_of(token(owner), "/off-central")
    assert message["data"] == row
    # Settled in the same transaction: a timer without a fault waits until somebody reports one.
    assert message["data"]["waits_on"] == "report"
    assert message["data"]["waiting_since"] is not None
    assert message["kind"] == "off_central"
    assert message["data"]["station_ref"] == station.ref
    kept = Delivery.objects.get()
    assert make_hooks.key_of(message) == kept.key
    assert abs(make_hooks.moment(message["at"]) - kept.made_at) < timedelta(milliseconds=1)
    assert kept.key.version == 4


def test_a_station_that_comes_back_is_told_with_its_days(display: Receiver) -> None:
    station = make.station()
    stopgap = fitted(station, days=9)
    end_stopgaps(stopgaps=[stopgap], on=ago(2), why="mended", today=TODAY)
    _off, message = told()
    assert message["kind"] == "returned"
    data = message["data"]
    assert (data["station_ref"], data["because"], data["until"]) == (
        station.ref,
        "returned",
        ago(2).isoformat(),
    )
    assert (data["was_off"]["since"], data["was_off"]["days"]) == (ago(9).isoformat(), 7)


def _retire(station: Station, stopgap: Stopgap) -> None:
    station.retired_on = ago(1)
    station.save()


def _leave_central(station: Station, stopgap: Stopgap) -> None:
    CentralState.objects.create(
        controller=station.controller, state=Central.NOT_MEANT, from_on=ago(1)
    )


def _take_out(station: Station, stopgap: Stopgap) -> None:
    stopgap.delete()


def _correct(station: Station, stopgap: Stopgap) -> None:
    """It was another stopgap, long over."""
    stopgap.fitted_earliest = stopgap.fitted_latest = ago(40)
    stopgap.removed_on = ago(30)
    stopgap.save()


@pytest.mark.parametrize(
    ("act", "because", "until"),
    [
        (_retire, "retired", ago(1)),
        (_leave_central, "not meant for central", ago(1)),
        (_take_out, "corrected", None),
        (_correct, "corrected", None),
    ],
)
def test_what_did_not_come_back_is_not_said_to_have(
    act: Callable[[Station, Stopgap], None], because: str, until: date | None, display: Receiver
) -> None:
    station = make.station()
    stopgap = fitted(station)
    act(station, stopgap)
    data = told()[1]["data"]
    assert (data["because"], data["until"]) == (because, until and until.isoformat())
    assert (data["was_off"] is None) == (until is None)


def test_what_stays_off_or_was_off_only_once_is_not_told_again(display: Receiver) -> None:
    station = make.station()
    fitted(station)
    day = ago(1)
    by_hand = StopgapFacts(kind="by hand", reason="wire", fitted=(day, day))
    fit_instead(stations=[station], facts=by_hand, today=TODAY)
    other = make.station()
    make.stopgap(station=other, on=ago(20), removed_on=ago(10))  # written down afterwards
    assert [each["kind"] for each in told()] == ["off_central"]


def test_each_program_is_told_of_each_station_under_an_id_of_its_own(
    owner: User, display: Receiver
) -> None:
    make_hooks.receiver(owner)
    clock = make.controller()
    both = [make.station(controller=clock, number=number) for number in (1, 2)]
    day = ago(3)
    facts = StopgapFacts(kind="by hand", reason="wire", fitted=(day, day))
    fit_stopgap(stations=both, facts=facts, today=TODAY)
    messages = told()
    assert len({each["id"] for each in messages}) == len(messages) == 4
    named = sorted(each["data"]["station_number"] for each in messages)
    assert named == [1, 1, 2, 2]


def test_a_fact_that_is_not_kept_is_not_told(display: Receiver) -> None:
    stopgap = fitted(make.station())
    with pytest.raises(UnableToEnd):
        end_stopgaps(stopgaps=[stopgap], on=TODAY, why=" ", today=TODAY)
    assert len(told()) == 1


@pytest.mark.parametrize("by", ["client", "property"])
def test_a_limit_holds(by: str, owner: User) -> None:
    mine, other = make.station(), make.station()
    place = mine.controller.property
    limit: dict[str, Any] = {"client": place.client} if by == "client" else {"property": place}
    make_hooks.receiver(owner, **limit)
    for station in (mine, other):
        fitted(station)
    assert [each["data"]["station_ref"] for each in told()] == [mine.ref]


def test_another_clients_station_is_never_told() -> None:
    mine, other = make.station(), make.station()
    person = make.user(Role.CLIENT, client=mine.controller.property.client)
    make_hooks.receiver(person)
    # Not even where a row in the database names another's property as its limit.
    make_hooks.receiver(person, property=other.controller.property)
    for station in (mine, other):
        fitted(station)
    assert [each["data"]["station_ref"] for each in told()] == [mine.ref]


def test_nothing_is_written_for_whom_it_is_not_meant(owner: User) -> None:
    gone = make.user(Role.OWNER)
    gone.is_active = False
    gone.save()
    make_hooks.receiver(gone)
    make_hooks.receiver(make.user())  # has no role
    make_hooks.receiver(owner, off_at=make.NOW, why_off=WhyOff.BY_HAND)
    make_hooks.receiver(owner, kinds="returned report_issued")
    fitted(make.station())
    assert told() == []


def test_the_limit_does_not_widen_what_its_user_has() -> None:
    place = make.place()
    person = make.user(Role.CLIENT, property=place)
    row = make_hooks.receiver(person, client=place.client)
    assert [grant.property for grant in user_of(row).held_grants] == [place]


def test_an_issued_report_is_told_as_the_api_tells_it(owner: User, display: Receiver) -> None:
    place = make_reports.court()
    Delivery.objects.all().delete()
    reader = make.user(Role.CLIENT, client=place.client)
    make_hooks.receiver(reader)
    make_hooks.receiver(make.user(Role.CLIENT, client=make.client()))
    report = make_reports.issued(place, owner)
    mine, readers = told()
    assert mine["kind"] == "report_issued"
    assert mine["data"] == readers["data"]
    assert [mine["data"]] == all_of(token(reader), "/reports")
    assert mine["data"]["number"] == str(report)
    assert mine["data"]["address"].endswith(f"/reports/{report.ref}/")


def test_what_is_issued_to_ourselves_is_not_told_to_the_client(owner: User) -> None:
    place = make_reports.court()
    make_hooks.receiver(make.user(Role.CLIENT, client=place.client), kinds="report_issued")
    make_reports.issued(place, owner, audience=Audience.US.value)
    assert told() == []


def test_a_fault_that_is_reported_in_the_same_verb_is_told_with_its_wait(
    owner: User, display: Receiver
) -> None:
    station = make.station()
    with as_one_change():
        fault = make.fault(station)
        fitted(station)
    (message,) = told()
    data = message["data"]
    assert (data["fault_ref"], data["fault_stage"]) == (fault.ref, "reported")
    assert data["waits_on"] is not None
    assert data["whose_move"] is not None
    assert message["data"] == all_of(token(owner), "/off-central")[0]
