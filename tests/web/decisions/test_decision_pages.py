"""From hotspots to a kept decision: pages, rights, files."""

from datetime import date

import pytest

from reports.decisions.services import choosing
from reports.decisions.views import renewing
from reports.models import Choice, Decision, RenewalCosts
from sites.kernel.engines.roles import Role
from sites.models import Run, User
from sites.runs.services import execute_run
from tests import make, make_prices
from tests.services.hotspots.trunk import Trunk, trunk
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

ASSUMED = "years=20&interest_percent=4&kept_percent=50"
COSTS = "fault_cost=1000&per_foot=10&fixed=200"


@pytest.fixture
def line() -> Trunk:
    """Twelve legs, of which the third was struck eight times."""
    made = trunk((100.0,) * 12)
    for n in range(8):
        made.struck(made.legs[2], date(2021 + n // 3, 2 + n, 3))
    return made


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER)


def test_from_hotspots_to_a_kept_decision(line: Trunk, owner: User) -> None:
    assert open_page(owner, "/hotspots/").links["Which to renew first"] == "/renew/"
    empty = open_page(owner, "/renew/").words
    assert "put it in" in empty
    assert "The set" not in empty
    page = open_page(owner, f"/renew/?{COSTS}")
    assert "Renew this one leg" in page.words
    address = page.links["Decide T-3"]
    client = signed_in(owner)
    form = client.get(address).content.decode()
    assert 'value="renew" selected' in form
    # 100 ft at 10, and 200 once: as it is renewed alone.
    assert 'name="renewal_cost" value="1200"' in form
    assert "Leave without deciding" in form
    assert ">Not now<" not in form
    answer = client.post(
        address.partition("?")[0],
        {"choice": "renew", "why": "eight faults", "fault_cost": "1000", "renewal_cost": "1000"},
        follow=True,
    )
    assert "Kept. It stands under Decisions." in answer.content.decode()
    made = Decision.objects.get()
    assert (made.choice, made.decided_by, made.renewal_cost) == (Choice.RENEW, owner, 1000)
    assert "eight faults" in open_page(owner, f"/hotspots/legs/{line.legs[2].ref}/").words
    assert "eight faults" in open_page(owner, f"/renew/?{COSTS}").words
    back = client.post(f"/decisions/{made.ref}/take-back/", {"why": "wrong leg"}, follow=True)
    assert "wrong leg" in back.content.decode()
    assert "eight faults" not in open_page(owner, f"/hotspots/legs/{line.legs[2].ref}/").words


def test_a_newer_decision_takes_the_place_of_an_older_one(line: Trunk, owner: User) -> None:
    """Common practice, no source: of two decisions on one leg only the newer stands."""
    leg, other = line.legs[2], line.legs[4]
    line.struck(other, date(2022, 8, 1))
    for row, choice, day in (
        (leg, Choice.NOT_NOW, date(2023, 3, 1)),
        (other, Choice.GUARD, date(2023, 4, 1)),
    ):
        Decision.objects.create(leg=row, choice=choice, why=f"as of {day}", decided_on=day)
    says = "Decided on 2023-03-01: not now: mend it as it breaks. as of 2023-03-01."
    assert says in open_page(owner, f"/hotspots/legs/{leg.ref}/worth/").words
    form = open_page(owner, f"/legs/{leg.ref}/decide/").words
    assert f"{says} A new decision takes its place." in form
    assert "A new decision" not in open_page(owner, f"/legs/{line.legs[7].ref}/decide/").words
    signed_in(owner).post(f"/legs/{leg.ref}/decide/", {"choice": "renew", "why": "it is worse"})
    page = open_page(owner, "/decisions/")
    stand, anew = page.panel("standing"), page.panel("anew")
    assert "it is worse" in stand
    assert "as of 2023-04-01" in stand
    assert "as of 2023-03-01" not in stand
    assert "as of 2023-03-01" in anew
    assert f"Until {make.TODAY}, then decided anew." in anew
    assert "as of 2023-04-01" not in anew
    # Taken back, the older one stands again.
    newest = Decision.objects.get(choice=Choice.RENEW)
    signed_in(owner).post(f"/decisions/{newest.ref}/take-back/", {"why": "wrong leg"})
    assert "as of 2023-03-01" in open_page(owner, "/decisions/").panel("standing")


def test_a_refused_decision_keeps_what_was_typed(line: Trunk, owner: User) -> None:
    answer = signed_in(owner).post(
        f"/legs/{line.legs[2].ref}/decide/", {"choice": "not now", "why": "no money this year"}
    )
    assert answer.status_code == 422
    assert "Say when to look again" in answer.content.decode()
    assert "no money this year" in answer.content.decode()
    assert not Decision.objects.exists()


def test_the_file_holds_every_leg(line: Trunk, owner: User) -> None:
    line.struck(line.legs[4], date(2022, 8, 1))
    answer = signed_in(owner).get(f"/renew/?{COSTS}&budget=1200&export=csv")
    lines = b"".join(answer).decode("utf-8-sig").splitlines()  # type: ignore[arg-type]
    assert lines[0].startswith("Leg,Property,In the set")
    assert [one.split(",")[0] for one in lines[1:]] == ["T-3", "T-5"]
    assert ["yes" in one for one in lines[1:]] == [True, False]


def test_money_names_its_currency_and_that_of_two_is_not_added(line: Trunk, owner: User) -> None:
    """Common practice, no source: sums of two currencies say nothing."""
    assert "for 1,200 it gains" in open_page(owner, f"/renew/?{COSTS}").words
    make_prices.price_list()
    page = open_page(owner, f"/renew/?{COSTS}")
    assert "for 1,200\u00a0USD it gains" in page.html
    assert page.rows("set")[0][2] == "1,000 USD by trench"
    answer = signed_in(owner).get(f"/renew/?{COSTS}&export=csv")
    rows = b"".join(answer.streaming_content).decode("utf-8-sig")  # type: ignore[attr-defined]
    assert [row.split(",")[5] for row in rows.splitlines()[:2]] == ["Currency", "USD"]
    other = make.place()
    make_prices.price_list(property=other, currency="MXN")
    apart = open_page(owner, f"/renew/?{COSTS}")
    assert "in several currencies: MXN, USD" in apart.words
    assert "The set" not in apart.words
    one = open_page(owner, f"/renew/?{COSTS}&place={line.legs[2].property.ref}")
    assert "in several currencies" not in one.words
    assert "for 1,200\u00a0USD it gains" in one.html


def test_who_sees_no_prices_sees_no_costs_and_decides_nothing(line: Trunk, owner: User) -> None:
    Decision.objects.create(
        leg=line.legs[2], choice=Choice.RENEW, why="eight faults", decided_on=make.TODAY,
        chance_pays=0.93,
    )  # fmt: skip
    technician = make.user(Role.TECHNICIAN)
    assert signed_in(technician).get("/renew/").status_code == 403
    assert signed_in(technician).get(f"/legs/{line.legs[2].ref}/decide/").status_code == 403
    seen = open_page(technician, "/decisions/").words
    assert "eight faults" in seen
    assert "93 %" not in seen
    assert "93 %" in open_page(owner, "/decisions/").words


def test_a_dispatcher_weighs_and_does_not_decide(line: Trunk) -> None:
    dispatcher = make.user(Role.DISPATCHER)
    assert "Decide T-3" not in open_page(dispatcher, f"/renew/?{COSTS}").links
    assert signed_in(dispatcher).get(f"/legs/{line.legs[2].ref}/decide/").status_code == 403


def test_another_property_is_not_seen(line: Trunk) -> None:
    Decision.objects.create(
        leg=line.legs[2], choice=Choice.RENEW, why="eight faults", decided_on=make.TODAY
    )
    limited = make.user(Role.WATER_MANAGER, property=make.place())
    assert "eight faults" not in open_page(limited, "/decisions/").words
    assert signed_in(limited).get(f"/legs/{line.legs[2].ref}/decide/").status_code == 404
    assert "T-3" not in open_page(limited, f"/renew/?{COSTS}").words


def test_costs_are_kept_from_what_was_typed_and_fill_what_is_left_empty(
    line: Trunk, owner: User
) -> None:
    page = open_page(owner, f"/renew/?{COSTS}&per_foot_paved=40&per_foot_pulled=3")
    address = page.links["Keep the costs that were typed"]
    assert (
        address
        == "/renew/costs/keep/?per_foot=10.0&per_foot_paved=40.0&per_foot_pulled=3.0&fixed=200.0"
    )
    client = signed_in(owner)
    form = client.get(address).content.decode()
    assert 'name="per_foot_paved" value="40.0"' in form
    assert 'name="per_foot_pulled" value="3.0"' in form
    data = {
        "place": line.place.ref, "per_foot": "10", "per_foot_paved": "", "fixed": "200",
        "per_foot_ploughed": "8.50", "per_foot_pulled": "",
    }  # fmt: skip
    assert "Kept." in client.post("/renew/costs/keep/", data, follow=True).content.decode()
    kept = open_page(owner, "/renew/?fault_cost=1000")
    assert "Renew this one leg" in kept.words
    assert [*kept.rows("kept")[0][1:6]] == ["10.00", "the same", "8.50", "not done", "200.00"]
    # 100 ft of turf by plough.
    assert kept.rows("set")[0][2].startswith("850 by plough")
    assert "per_foot_ploughed=8.5&" in kept.links[f"Change: {line.place}: 10.00"]
    half = open_page(owner, "/renew/?fault_cost=1000&fixed=200")
    assert half.errors == [
        "Give this one too, or leave all of them empty: then the kept ones count."
    ]
    (row,) = RenewalCosts.objects.all()
    client.post(f"/renew/costs/{row.ref}/drop/", follow=True)
    assert not RenewalCosts.objects.exists()
    assert "The set" not in open_page(owner, "/renew/?fault_cost=1000").words


def test_costs_of_others_are_neither_seen_nor_kept(line: Trunk, owner: User) -> None:
    row = RenewalCosts.objects.create(
        property=line.place, per_foot=77, fixed=0, kept_on=make.TODAY, kept_by=owner
    )
    limited = make.user(Role.OWNER, property=make.place())
    assert "77.00" not in open_page(limited, "/renew/").words
    assert signed_in(limited).get(f"/renew/costs/{row.ref}/drop/").status_code == 404
    data = {"place": line.place.ref, "per_foot": "1", "fixed": "0"}
    assert signed_in(limited).post("/renew/costs/keep/", data).status_code == 422
    dispatcher = make.user(Role.DISPATCHER)
    assert signed_in(dispatcher).get("/renew/costs/keep/").status_code == 403
    seen = open_page(dispatcher, "/renew/")
    assert "77.00" in seen.panel("kept")
    assert "Drop" not in seen.panel("kept")


def test_hotspots_and_the_decision_take_what_is_kept(line: Trunk, owner: User) -> None:
    leg = f"/hotspots/legs/{line.legs[2].ref}/"
    decide = f"/legs/{line.legs[2].ref}/decide/"
    asks = open_page(owner, f"{leg}worth/?fault_cost=1000")
    assert asks.words.count("Put this in too") == 2
    assert "is not known: nothing is kept" in asks.words
    assert "is not known: nothing is kept" in open_page(owner, decide).words
    RenewalCosts.objects.create(property=None, per_foot=10, fixed=200, kept_on=make.TODAY)
    empty = open_page(owner, f"{leg}worth/")
    assert "Put in what one fault costs you" in empty.words
    assert "Break-even" not in empty.words
    kept = open_page(owner, f"{leg}worth/?fault_cost=1000")
    # 100 ft at 10, and 200 once.
    assert "Renewing it costs 1,200 by trench, as kept for all properties" in kept.words
    assert "Break-even" in kept.words
    half = open_page(owner, f"{leg}worth/?fault_cost=1000&fixed=1")
    assert half.words.count("Put this in too") == 1
    typed = open_page(owner, f"{leg}worth/?fault_cost=1000&per_foot=10&fixed=200")
    assert "as typed here. It counts instead of the 1,200 that is kept." in typed.words
    assert typed.panel("ways") == kept.panel("ways")
    assert kept.links["Decide on it"] == f"{decide}?fault_cost=1000&renewal_cost=1200&{ASSUMED}"
    form = open_page(owner, decide)
    assert 'name="renewal_cost" value="1200.0"' in form.html
    assert "What is typed here counts." in form.words
    assert 'name="renewal_cost" value="77"' in open_page(owner, f"{decide}?renewal_cost=77").html


def test_legs_whose_cost_is_not_known_are_named(line: Trunk, owner: User) -> None:
    other = trunk((100.0,) * 3, code="BARE")
    other.struck(other.legs[1], date(2022, 8, 1))
    RenewalCosts.objects.create(property=line.place, per_foot=10, fixed=200, kept_on=make.TODAY)
    page = open_page(owner, "/renew/?fault_cost=1000")
    assert "not known at their property: T-2 (BARE)" in page.panel("how")


def test_a_set_that_takes_long_shows_how_far_it_is(
    line: Trunk, owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(choosing, "MOST_AT_ONCE", 0)
    waiting = open_page(owner, f"/renew/?{COSTS}")
    assert waiting.heading == "The best set is being chosen"
    execute_run(Run.objects.get().pk)
    assert "Renew this one leg" in open_page(owner, f"/renew/?{COSTS}").words


def test_a_long_set_is_cut_on_the_page_and_whole_in_the_file(
    line: Trunk, owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    for n in range(8):
        line.struck(line.legs[6], date(2021 + n // 3, 2 + n, 4))
    monkeypatch.setattr(renewing, "MOST_INSIDE", 1)
    page = open_page(owner, f"/renew/?{COSTS}")
    assert "Renew these 2 legs" in page.words
    assert len(page.rows("set")) == 1
    assert "One more leg is in the file." in page.panel("set")
    monkeypatch.setattr(renewing, "MOST_INSIDE", 2)
    assert len(open_page(owner, f"/renew/?{COSTS}").rows("set")) == 2
