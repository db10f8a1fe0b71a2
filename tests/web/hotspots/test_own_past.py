"""What the company's own faults cost stands where a cost of one fault is asked."""

from datetime import timedelta

import pytest
from django.utils import timezone

from faults.models import JobState
from faults.prices.engines.pricing import Charge
from reports.hotspots.services.past import LEAST_FAULTS
from sites.kernel.engines.roles import Role
from sites.models import Leg, User
from tests import make, make_jobs, make_prices
from tests.services.hotspots.trunk import Trunk, trunk
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

RENEWAL = "per_foot=14&fixed=500"


@pytest.fixture
def line() -> Trunk:
    """Twelve legs of 100 ft, of which the third was struck eight times; an hour costs 60."""
    made = trunk((100.0,) * 12)
    for n in range(8):
        made.struck(made.legs[2], timezone.localdate() - timedelta(days=300 + 40 * n))
    make_prices.price_list({Charge.TRACING: 60})
    return made


@pytest.fixture
def owner(db: None) -> User:
    """Who owns the firm."""
    return make.user(Role.OWNER)


def finished(line: Trunk, count: int) -> None:
    """So many faults of three hours each."""
    day = timezone.localdate() - timedelta(days=90)
    for _n in range(count):
        station = make.station(controller=make.controller(property=line.place))
        fault = make.fault(station, reported_on=day, stage="returned")
        make_jobs.started(
            fault=fault,
            state=JobState.DONE,
            actual_minutes=180,
            started_at=timezone.now() - timedelta(days=90),
            ended_at=make.NOW,
            day=day,
        )


def worth(leg: Leg, query: str = RENEWAL) -> str:
    """Return the address on which a leg is weighed."""
    return f"/hotspots/legs/{leg.ref}/worth/?{query}"


@pytest.mark.parametrize(("count", "is_known"), [(LEAST_FAULTS - 1, False), (LEAST_FAULTS, True)])
def test_it_counts_where_nothing_is_typed_once_there_are_enough(
    line: Trunk, owner: User, count: int, is_known: bool
) -> None:
    finished(line, count)
    page = open_page(owner, worth(line.legs[2]))
    assert ("Empty: what your own faults cost." in page.words) == is_known
    assert ("3 faults of the last five years" in page.words) == is_known
    assert ("Break-even" in page.words) == is_known
    assert ("Put this in too" in page.words) != is_known
    if is_known:
        same = open_page(owner, worth(line.legs[2], f"fault_cost=180&{RENEWAL}"))
        assert page.panel("ways") == same.panel("ways")


def test_what_is_typed_counts_before_it(line: Trunk, owner: User) -> None:
    finished(line, LEAST_FAULTS)
    own, typed = (
        open_page(owner, worth(line.legs[2], query)).panel("ways")
        for query in (RENEWAL, f"fault_cost=900&{RENEWAL}")
    )
    assert own != typed
    assert "fault_cost=900" in open_page(
        owner, worth(line.legs[2], f"fault_cost=900&{RENEWAL}")
    ).links["Decide on it"]  # fmt: skip


def test_without_a_cost_of_renewing_that_alone_is_asked(line: Trunk, owner: User) -> None:
    finished(line, LEAST_FAULTS)
    page = open_page(owner, worth(line.legs[2], ""))
    assert "Put in what a renewal costs you: then both ways are weighed." in page.words
    assert "Put this in too" not in page.words
    assert "Break-even" not in page.words


def test_money_of_another_currency_is_not_compared(line: Trunk, owner: User) -> None:
    finished(line, LEAST_FAULTS)
    other = make.place()
    make_prices.price_list({Charge.TRACING: 50}, property=other, currency="MXN")
    leg = make.leg(property=other)
    clock = make.controller(property=other)
    for _n in range(2):
        make.break_found(fault=make.fault(make.station(controller=clock)), leg=leg)
    assert "your own faults cost" not in open_page(owner, worth(leg)).words


def test_a_decision_starts_from_it(line: Trunk, owner: User) -> None:
    finished(line, LEAST_FAULTS)
    url = f"/legs/{line.legs[2].ref}/decide/"
    page = signed_in(owner).get(url)
    assert page.context["form"]["fault_cost"].value() == 180
    assert "3 faults of the last five years" in page.content.decode()
    typed = signed_in(owner).get(f"{url}?fault_cost=900")
    assert typed.context["form"]["fault_cost"].value() == "900"
