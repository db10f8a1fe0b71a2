"""How sure it is that renewing a leg pays: one number on every page, whatever leads there."""

import re
from datetime import date, timedelta

import pytest
from django.utils import timezone

from faults.models import JobState
from faults.prices.engines.pricing import Charge
from reports.models import Decision, RenewalCosts
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs, make_prices
from tests.services.hotspots.trunk import Trunk, trunk
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

ALONE = "It pays, renewed alone"


@pytest.fixture
def owner(db: None) -> User:
    """Who owns the firm."""
    return make.user(Role.OWNER)


@pytest.fixture
def line(db: None) -> Trunk:
    """A leg that was struck five times, another with two, beside a property that fails seldom."""
    made, other = trunk((100.0,) * 12, code="BAD"), trunk((300.0,) * 20, code="GOOD")
    for n in range(5):
        made.struck(made.legs[2], date(2021 + n // 3, 2 + n, 3))
    for n in range(2):
        made.struck(made.legs[5], date(2022, 2 + n, 3), cause="splice")
    other.struck(other.legs[1], date(2022, 8, 1))
    # What was reported today is known too.
    made.struck(made.legs[2], timezone.localdate())
    RenewalCosts.objects.create(property=None, per_foot=90, fixed=900, kept_on=make.TODAY)
    make_prices.price_list({Charge.TRACING: 60})
    return made


def visited(line: Trunk, hours: tuple[float, ...]) -> None:
    """Faults of so many hours each: what they cost has an error, and differs."""
    at = timezone.now() - timedelta(days=90)
    for each in hours:
        station = make.station(controller=make.controller(property=line.place))
        fault = make.fault(station, reported_on=at.date(), stage="returned")
        make_jobs.started(
            fault=fault,
            state=JobState.DONE,
            actual_minutes=round(each * 60),
            started_at=at,
            ended_at=make.NOW,
            day=at.date(),
        )


def shares(words: str) -> list[str]:
    """Return the percentages in a text."""
    return re.findall(r"\d+(?= %)", words)


def chances(line: Trunk, owner: User, query: str = "") -> dict[str, str]:
    """Return what each page says of the third leg, each reached as people reach it."""
    leg = line.legs[2]
    renew = open_page(owner, f"/renew/?{query}")
    (row,) = [row for row in renew.rows() if row[0].startswith("T-3")]
    worth = open_page(owner, f"/hotspots/legs/{leg.ref}/worth/?{query}")
    address = renew.links["Decide T-3"]
    form = signed_in(owner).get(address)
    fields = form.context["form"]
    sent = {name: fields[name].value() for name in fields.fields if fields[name].value()}
    answer = signed_in(owner).post(
        address.partition("?")[0], {**sent, "choice": "renew", "why": "x"}
    )
    assert answer.status_code == 302
    kept = Decision.objects.latest("pk")
    return {
        "Renew first": shares(row[5])[0],
        "worth": shares(worth.panel("ways").partition(ALONE)[2])[0],
        "Decide": shares(form.content.decode().partition("Renewed alone, at the costs")[2])[0],
        "worth to Decide": shares(
            open_page(owner, worth.links["Decide on it"]).words.partition("Renewed alone")[2]
        )[0],
        "kept": f"{(kept.chance_pays or 0) * 100:.0f}",
    }


@pytest.mark.parametrize(
    "query",
    [
        "fault_cost=900",
        "fault_cost=900&years=8&interest_percent=9&kept_percent=10",
        "fault_cost=400&per_foot=40&fixed=900",
    ],
)
def test_all_pages_say_the_same_of_what_is_typed(line: Trunk, owner: User, query: str) -> None:
    found = chances(line, owner, query)
    assert len(set(found.values())) == 1, found
    assert 3 < int(found["kept"]) < 97


def test_all_pages_say_the_same_of_the_own_past_with_its_error(line: Trunk, owner: User) -> None:
    visited(line, (2, 6, 14, 30))
    found = chances(line, owner)
    assert len(set(found.values())) == 1, found
    # Typed as the same number of money it is the same; another typed cost has no error.
    assert chances(line, owner, "fault_cost=780") == found


def test_one_property_in_view_and_a_filter_change_no_chance(line: Trunk, owner: User) -> None:
    whole = chances(line, owner, "fault_cost=900")
    assert chances(line, owner, f"fault_cost=900&place={line.place.ref}") == whole
    leg = line.legs[2]
    page = open_page(owner, f"/hotspots/legs/{leg.ref}/worth/?fault_cost=900&causes=wire")
    assert shares(page.panel("ways").partition(ALONE)[2])[0] == whole["worth"]
    assert "whatever part of them Hotspots shows" in page.words
    plain = open_page(owner, f"/hotspots/legs/{leg.ref}/worth/?fault_cost=900")
    assert "whatever part of them Hotspots shows" not in plain.words


def test_one_property_in_view_weighs_no_leg_of_another(line: Trunk, owner: User) -> None:
    page = open_page(owner, f"/renew/?fault_cost=900&place={line.place.ref}")
    assert "T-3" in page.words
    whole = open_page(owner, "/renew/?fault_cost=900")
    assert [any("GOOD" in row[0] for row in each.rows()) for each in (page, whole)] == [False, True]


def test_a_leg_whose_neighbours_carry_the_set_up_is_surer_and_says_so(
    line: Trunk, owner: User
) -> None:
    page = open_page(owner, "/renew/?fault_cost=900")
    (row,) = [row for row in page.rows() if row[0].startswith("T-3")]
    alone, shared = shares(row[5])
    assert int(alone) < int(shared)
    assert "with neighbours" in row[5]
    RenewalCosts.objects.update(fixed=0)
    page = open_page(owner, "/renew/?fault_cost=900")
    (row,) = [row for row in page.rows() if row[0].startswith("T-3")]
    assert shares(row[5]) == [shared]
