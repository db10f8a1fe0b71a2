"""The same request of a program several times at one moment: taken once, and each hears the same.

The same holds on PostgreSQL, where `tests/services_real/test_on_postgresql.py` repeats it.
"""

import pytest

from faults.cases.services.report import Report
from faults.models import Fault
from reports.api.services.once import Outcome, Sent, UnableToTakeAgain, act_once
from reports.api.services.sending import UnableToSend, send_report
from sites.kernel.engines.roles import Role
from sites.models import SentForm, Station, User
from tests import make
from tests.make_tokens import newest, token
from tests.services.billing.test_at_once import at_once

pytestmark = pytest.mark.django_db(transaction=True)


def report_of(station: Station, owner: User) -> Outcome:
    report = Report(reported_on=make.TODAY)
    row = Station.objects.select_related("controller__property").get(pk=station.pk)
    return send_report([row], report, by=owner, at=make.NOW, today=make.TODAY)


@pytest.mark.parametrize("turn", range(3))
def test_four_at_once_write_one_fault_and_hear_of_the_same(turn: int) -> None:
    owner, station = make.user(Role.OWNER), make.station()
    token(owner)
    sent = Sent(newest(), "report_fault", f"night-{turn}", b"{}", make.NOW)
    heard: list[tuple[Outcome, bool]] = []

    def send() -> None:
        heard.append(act_once(sent, lambda: report_of(station, owner)))

    assert at_once(*[send] * 4) == []
    assert Fault.objects.count() == 1
    assert {outcome.ref for outcome, _again in heard} == {Fault.objects.get().ref}
    assert sorted(again for _outcome, again in heard) == [False, True, True, True]


def test_one_that_is_cut_off_leaves_neither_fault_nor_key() -> None:
    owner, station = make.user(Role.OWNER), make.station()
    token(owner)
    sent = Sent(newest(), "report_fault", "night", b"{}", make.NOW)

    def cut_off() -> Outcome:
        report_of(station, owner)
        raise KeyboardInterrupt  # as a process that is ended between its verb and its answer

    with pytest.raises(KeyboardInterrupt):
        act_once(sent, cut_off)
    assert (Fault.objects.count(), SentForm.objects.count()) == (0, 0)
    outcome, again = act_once(sent, lambda: report_of(station, owner))
    assert (outcome.ref, again) == (Fault.objects.get().ref, False)


def test_two_different_requests_under_one_key_at_once_write_one() -> None:
    owner = make.user(Role.OWNER)
    token(owner)
    stations = [make.station(), make.station()]
    problems = at_once(
        *[
            lambda station=station: act_once(
                Sent(newest(), "report_fault", "night", station.ref.encode(), make.NOW),
                lambda: report_of(station, owner),
            )
            for station in stations
        ]
    )
    assert [type(problem) for problem in problems] == [UnableToTakeAgain]
    assert Fault.objects.count() == 1


def test_stations_of_two_properties_are_refused() -> None:
    owner = make.user(Role.OWNER)
    two = [make.station(), make.station()]
    with pytest.raises(UnableToSend):
        send_report(two, Report(reported_on=make.TODAY), by=owner, at=make.NOW, today=make.TODAY)
