"""Reports by rule: made after each period, laid on a desk, mailed once issued."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from faults.models import FollowUp, OutgoingMail
from reports.issued.services.issuing import issue
from reports.issued.services.series import (
    SeriesFacts,
    UnableToSetUpSeries,
    end_series,
    make_series,
    set_up_series,
)
from reports.models import Audience, Draft, ReportKind, ReportSeries, Rhythm
from sites.kernel.engines.roles import Role
from sites.models import Property, User
from sites.runs.services import Silent
from tests import make, make_reports
from tests.make_reports import AT

pytestmark = pytest.mark.django_db


@pytest.fixture
def place(db: None) -> Property:
    return make_reports.court()


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER)


def nothing() -> None:
    """Nobody has to know."""


def at(year: int, month: int, day: int, hour: int = 12) -> datetime:
    return datetime(year, month, day, hour, tzinfo=UTC)


@pytest.mark.parametrize(
    ("moment", "made"), [(at(2025, 8, 31, 23), 0), (at(2025, 9, 1, 0), 1), (at(2025, 10, 1), 2)]
)
def test_a_draft_is_there_once_its_month_is_over(
    place: Property, owner: User, moment: datetime, made: int
) -> None:
    series = make_reports.series(place, owner)
    assert make_series(at=moment, go_on=nothing) == {"made": made}
    assert make_series(at=moment, go_on=nothing) == {"made": 0}
    assert Draft.objects.filter(desk=owner, series=series).count() == made
    periods = list(Draft.objects.order_by("from_on").values_list("from_on", "until_on"))
    assert periods[:1] == [(date(2025, 8, 1), date(2025, 8, 31))][:made]


def test_a_month_ends_with_the_day_at_the_property(owner: User) -> None:
    place = make.place(time_zone="America/Phoenix")
    make_reports.series(place, owner)
    # Seven hours behind: there it still is 31 August.
    assert make_series(at=at(2025, 9, 1, 6), go_on=nothing) == {"made": 0}
    assert make_series(at=at(2025, 9, 1, 7), go_on=nothing) == {"made": 1}


def test_a_quarter_is_three_months(place: Property, owner: User) -> None:
    make_reports.series(place, owner, rhythm=Rhythm.QUARTERLY)
    make_series(at=AT, go_on=nothing)
    draft = Draft.objects.get()
    assert (draft.from_on, draft.until_on) == (date(2025, 8, 1), date(2025, 10, 31))
    assert ReportSeries.objects.get().next_from_on == date(2025, 11, 1)


def test_it_falls_due_for_the_person_whose_desk_it_is(place: Property, owner: User) -> None:
    make_reports.series(place, owner)
    make_series(at=at(2025, 9, 1), go_on=nothing)
    row = FollowUp.objects.get(property=place, handed_to=owner)
    assert "2025-08-01 – 2025-08-31" in row.what
    assert row.due_on == date(2025, 9, 1)


def test_who_may_not_do_it_any_more_is_not_handed_it(place: Property, owner: User) -> None:
    make_reports.series(place, owner)
    owner.grants.all().delete()
    make_series(at=at(2025, 9, 1), go_on=nothing)
    assert FollowUp.objects.get(property=place).handed_to is None


def test_one_that_ended_makes_nothing(place: Property, owner: User) -> None:
    series = make_reports.series(place, owner)
    end_series(series=series, today=date(2025, 8, 2))
    assert make_series(at=AT, go_on=nothing) == {"made": 0}
    with pytest.raises(UnableToSetUpSeries, match="ended already"):
        end_series(series=series, today=date(2025, 8, 3))


def test_once_issued_its_link_is_mailed_to_each_address(place: Property, owner: User) -> None:
    readers = [
        make.user(Role.CLIENT, client=place.client, email=f"reader{n}@example.com")
        for n in range(2)
    ]
    make_reports.series(place, owner, mail_to=", ".join(each.email for each in readers))
    make_series(at=at(2025, 9, 1), go_on=nothing)
    assert not OutgoingMail.objects.exists()
    report = issue(draft=Draft.objects.get(), by=owner, at=AT, progress=Silent())
    mails = list(OutgoingMail.objects.order_by("to"))
    assert [mail.to for mail in mails] == ["reader0@example.com", "reader1@example.com"]
    assert len({mail.message_id for mail in mails}) == 2
    assert all(f"/reports/{report.ref}/" in mail.text for mail in mails)
    assert [mail.user for mail in mails] == readers


def facts(owner: User, **given: Any) -> SeriesFacts:
    usual = SeriesFacts(Rhythm.MONTHLY.value, date(2025, 8, 1), owner)
    return replace(usual, **given)


def test_is_set_up_with_addresses_told_apart(place: Property, owner: User) -> None:
    make.user(Role.CLIENT, client=place.client, email="Ann@example.com")
    series = set_up_series(
        asked=make_reports.asked(place),
        facts=facts(owner, mail_to="ann@example.com; ANN@example.com"),
    )
    assert series.mail_to == "ann@example.com"
    assert series.history.count() == 1


@pytest.mark.parametrize(
    "reader",
    [
        lambda place: None,
        lambda place: make.user(email="ann@example.com"),
        lambda place: make.user(Role.CLIENT, client=make.client(), email="ann@example.com"),
        lambda place: make.user(
            Role.CLIENT, client=place.client, email="ann@example.com", is_active=False
        ),
        lambda place: make.user(Role.TRACER, property=place, email="ann@example.com"),
    ],
)
def test_refuses_to_mail_who_could_not_open_it(
    place: Property, owner: User, reader: Callable[[Property], Any]
) -> None:
    reader(place)
    with pytest.raises(UnableToSetUpSeries, match="Nobody with the address") as no:
        set_up_series(
            asked=make_reports.asked(place), facts=facts(owner, mail_to="ann@example.com")
        )
    assert no.value.field == "mail_to"
    assert not ReportSeries.objects.exists()


def test_refuses_to_mail_a_client_what_is_for_ourselves(place: Property, owner: User) -> None:
    make.user(Role.CLIENT, client=place.client, email="ann@example.com")
    ours = make_reports.asked(place, audience=Audience.US.value)
    with pytest.raises(UnableToSetUpSeries, match="Nobody with the address"):
        set_up_series(asked=ours, facts=facts(owner, mail_to="ann@example.com"))


def test_refuses_to_begin_within_a_month_and_one_fault(place: Property, owner: User) -> None:
    with pytest.raises(UnableToSetUpSeries, match="first day of a month") as no:
        set_up_series(
            asked=make_reports.asked(place), facts=facts(owner, next_from_on=date(2025, 8, 2))
        )
    assert no.value.field == "next_from_on"
    of_fault = make_reports.asked(place, kind=ReportKind.PROOF.value, fault=make.fault())
    with pytest.raises(UnableToSetUpSeries, match="has no series"):
        set_up_series(asked=of_fault, facts=facts(owner))
