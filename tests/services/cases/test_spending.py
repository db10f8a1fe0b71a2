"""What was spent on a fault: all visits, each person, against the newest limit that holds."""

from datetime import timedelta
from decimal import Decimal

import pytest

from faults.cases.services.man_hours import people_on
from faults.cases.services.spending import spending_of
from faults.locating.services.around import _budget_min
from faults.models import Authority, CrewMember, Fault, Job
from faults.sheet.forms.payload import sheet_payload
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs
from tests.make import NOW, TODAY

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


@pytest.fixture
def fault() -> Fault:
    """A fault on a property whose client allows two hours without being asked."""
    station = make.station()
    fault = make.fault(station, property=station.controller.property)
    make.authority(property=fault.property, up_to_hours=Decimal(2), from_on=TODAY - 9 * DAY)
    return fault


@pytest.fixture
def two() -> list[User]:
    """Two people of one crew."""
    return [make.user(Role.TECHNICIAN), make.user(Role.TECHNICIAN)]


def visit(fault: Fault, *people: User, days_ago: int = 1, **given: object) -> Job:
    """A visit that took 50 minutes, by these people or by one without a crew."""
    crew = make_jobs.crew(*people) if people else None
    usual = {"state": "done", "actual_minutes": 50, "started_at": NOW - days_ago * DAY}
    return make_jobs.job(fault=fault, crew=crew, **{**usual, **given})


def yes(fault: Fault, days_ago: int, **limits: object) -> None:
    """The client's yes of some days ago."""
    Authority.objects.create(fault=fault, given_by="Pip", given_on=TODAY - days_ago * DAY, **limits)


def test_a_second_visit_goes_on_where_the_first_ended(fault: Fault) -> None:
    visit(fault, days_ago=3)
    assert spending_of(fault, at=NOW).left_man_min == 70
    visit(fault, days_ago=2)
    assert spending_of(fault, at=NOW).left_man_min == 20
    visit(make.fault(make.station()), days_ago=1)
    assert spending_of(fault, at=NOW).used_man_min == 100


def test_two_people_spend_twice_as_fast(fault: Fault, two: list[User]) -> None:
    job = visit(fault, *two)
    assert spending_of(fault, at=NOW).used_man_min == 100
    CrewMember.objects.filter(user=two[1]).update(to_on=TODAY)
    assert people_on(job, TODAY - DAY) == 2
    assert people_on(job, TODAY) == 1


def test_a_visit_under_way_counts_to_the_minute_and_a_withdrawn_one_never(fault: Fault) -> None:
    running = visit(
        fault, state="started", actual_minutes=None, started_at=NOW - timedelta(minutes=31)
    )
    visit(fault, state="withdrawn")
    visit(fault, state="planned", actual_minutes=None, started_at=None)
    assert spending_of(fault, at=NOW).used_man_min == 31
    assert spending_of(fault, at=NOW, besides=running).used_man_min == 0


@pytest.mark.parametrize(
    ("days_ago", "hours"), [(2, Decimal(1)), (0, Decimal(1)), (-1, Decimal(2))]
)
def test_a_yes_on_the_fault_goes_before_the_standing_one_from_its_day_on(
    fault: Fault, days_ago: int, hours: Decimal
) -> None:
    yes(fault, days_ago, up_to_hours=Decimal(1))
    assert spending_of(fault, at=NOW).up_to_hours == hours


def test_the_newest_of_two_limits_wins_also_where_it_is_lower(fault: Fault) -> None:
    make.authority(property=fault.property, up_to_hours=Decimal(1), from_on=TODAY - DAY)
    assert spending_of(fault, at=NOW).up_to_hours == 1
    yes(fault, 3, up_to_hours=Decimal(5))
    yes(fault, 2, up_to_hours=Decimal(3))
    assert spending_of(fault, at=NOW).up_to_hours == 3


def test_a_limit_in_money_stays_money(fault: Fault) -> None:
    yes(fault, 1, up_to_amount=Decimal(150))
    spent = spending_of(fault, at=NOW)
    assert (spent.up_to_amount, spent.up_to_hours, spent.left_man_min) == (150, None, None)
    assert spent.is_allowed


def test_phone_and_search_page_say_the_same(fault: Fault, two: list[User]) -> None:
    visit(fault, *two, days_ago=3)
    job = make_jobs.job(fault=fault, day=TODAY, crew=None)
    told = sheet_payload(job=job, user=two[0], today=TODAY, at=NOW)["authority"]
    near = "83 % of the limit is used: ask the client before it ends."
    assert told == {
        "left_man_min": 20,
        "people": 1,
        "entered_man_min": 0,
        "amount": "",
        "near": near,
        "by": told["by"],
    }
    assert _budget_min(fault, NOW, None) == 20


def test_a_0_beside_another_limit_is_no_limit(fault: Fault) -> None:
    # The page refuses it now; older standing authorities may have one.
    fault.property.authorities.update(up_to_amount=0)
    visit(fault, actual_minutes=60)
    found = spending_of(fault, at=NOW)
    assert (found.share, found.up_to_amount, found.left_man_min) == (0.5, None, 60)
