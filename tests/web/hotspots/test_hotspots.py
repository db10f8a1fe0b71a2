"""Where faults keep coming back: what the pages say, to whom, and what they never say."""

import csv
import io
from datetime import date
from typing import Any

import pytest

from reports.hotspots.services.ranking import look
from sites.kernel.engines.roles import Role
from sites.models import Leg, Renewal, Tariff, User
from tests import make
from tests.services.hotspots.trunk import ALL, Trunk, trunk
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

FINE = ("is fine", "is sound", "all good", "healthy", "no problem")


@pytest.fixture
def line() -> Trunk:
    """Twelve legs of 100 ft, of which the third was struck eight times."""
    made = trunk((100.0,) * 12)
    for n in range(8):
        made.struck(made.legs[2], date(2021 + n // 3, 2 + n, 3), feet_along=40.0 + n, depth_in=11)
    for leg in made.legs[4:7]:
        made.struck(leg, date(2022, 8, 1), cause="splice", how_mended="splice remade")
    made.lost(date(2023, 1, 1))
    return made


@pytest.fixture
def owner(db: None) -> User:
    """Who owns the firm."""
    return make.user(Role.OWNER)


def address(leg: Leg, more: str = "") -> str:
    """Return the address of a leg among hotspots."""
    return f"/hotspots/legs/{leg.ref}/{more}"


def test_the_worst_leg_is_first_with_its_count_rate_and_evidence(line: Trunk, owner: User) -> None:
    page = open_page(owner, "/hotspots/")
    assert page.heading == "1 of 12 legs fails more than chance makes it"
    first, second = page.rows("ranking-title")[:2]
    assert first[:3] == ["1", "T-3", "flagged"]
    assert first[4].startswith("8 + 0.")
    assert "rodent" in first
    assert "not enough evidence" in second


def test_what_is_not_flagged_is_never_called_sound(line: Trunk, owner: User) -> None:
    for url in ("/hotspots/", address(line.legs[5]), f"/hotspots/?place={line.place.ref}"):
        words = open_page(owner, url).words.lower()
        words = words.replace("that does not say that it is sound", "")
        assert not [each for each in FINE if each in words], url
    assert "not flagged does not mean sound" in open_page(owner, "/hotspots/").words.lower()
    leg = open_page(owner, address(line.legs[5]))
    assert leg.heading == "Leg T-6: not enough evidence to flag it"
    assert "That does not say that it is sound." in leg.words


def test_power_and_faults_without_a_place_are_told_in_words(line: Trunk, owner: User) -> None:
    page = open_page(owner, "/hotspots/")
    assert "A leg three times as bad as the others would be flagged" in page.words
    assert "1 fault was never located." in page.words
    assert "11 faults located" in page.words


def test_why_a_leg_stands_where_it_does(line: Trunk, owner: User) -> None:
    page = open_page(owner, address(line.legs[2]))
    assert page.heading.startswith("Leg T-3 fails ")
    assert "8 faults were located on it in 5.5 years" in page.panel("why")
    assert "Of the legs flagged on this page no more than one in ten" in page.panel("why")
    assert "All 8 placed faults lie within 7.0 ft of 100 ft: hardly chance" in page.words


def test_the_scope_stays_in_the_address(line: Trunk, owner: User) -> None:
    query = f"place={line.place.ref}&first=2021-01-01&causes=ground"
    page = open_page(owner, f"/hotspots/?{query}")
    assert page.links["T-3"] == f"{address(line.legs[2])}?{query}"
    assert "Only" not in page.heading
    wire = open_page(owner, "/hotspots/?causes=wire")
    assert wire.heading == "No leg stands out from the others"


def test_a_plan_of_the_property_shades_its_legs(line: Trunk, owner: User) -> None:
    page = open_page(owner, f"/hotspots/?place={line.place.ref}")
    assert page.html.count('class="halo"') == 1 + 1  # the leg, and the key
    assert 'class="leg rate-3"' in page.html
    assert "times the ordinary rate" in page.html
    assert "neighbouring legs" in page.panel("plan")


def test_neighbouring_legs_that_fail_together_are_named(owner: User) -> None:
    made = trunk((100.0,) * 30)
    for n in range(12):
        made.struck(made.legs[10 + n % 4], date(2021 + n // 4, 2, 3))
    words = open_page(owner, f"/hotspots/?place={made.place.ref}").panel("plan")
    assert "the strongest set is 4 legs with 12 faults, where 1.60 were to be expected" in words
    assert "T-11, T-12, T-13, T-14" in words
    assert "Chance alone rarely makes a set as strong" in words


def test_properties_are_ranked_and_compared(line: Trunk, owner: User) -> None:
    other = trunk((100.0,) * 12)
    other.struck(other.legs[0], date(2022, 1, 1))
    page = open_page(owner, "/hotspots/?by=properties")
    assert [row[1] for row in page.rows("ranking-title")] == [line.place.code, other.place.code]
    both = open_page(owner, f"/hotspots/?place={line.place.ref}&against={other.place.ref}")
    assert "11.0 times the rate" in both.panel("against")


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("first=yesterday", "Enter a valid date."),
        ("first=2024-02-01&last=2023-02-01", "This day lies before the first."),
        ("first=2031-01-01", "This day has not come yet."),
        ("place=nowhere", "Select a valid choice."),
    ],
)
def test_what_is_not_understood_is_said_and_all_is_shown(
    line: Trunk, owner: User, query: str, said: str
) -> None:
    page = open_page(owner, f"/hotspots/?{query}")
    assert page.status == 200
    assert said in page.words


def test_before_any_break_it_says_what_to_do_next(owner: User) -> None:
    page = open_page(owner, "/hotspots/")
    assert page.heading == "No located fault is in view"
    assert "Record where faults were found" in page.words


def test_a_file_holds_every_leg_in_the_order_shown(line: Trunk, owner: User) -> None:
    response: Any = signed_in(owner).get("/hotspots/?export=csv&sort=-rank")
    rows = list(csv.reader(io.StringIO(b"".join(response.streaming_content).decode("utf-8-sig"))))
    assert len(rows) == 1 + 12
    last = dict(zip(rows[0][:8], rows[-1][:8], strict=True))
    assert (last["Leg"], last["Evidence"], last["Faults located"]) == ("T-3", "flagged", "8")
    assert signed_in(owner).get("/hotspots/?export=xlsx").status_code == 200


def test_htmx_gets_the_table_alone(line: Trunk, owner: User) -> None:
    answer = signed_in(owner).get("/hotspots/?sort=-rate", headers={"HX-Request": "true"})
    assert b"<h1" not in answer.content
    assert b"T-3" in answer.content


def test_a_split_leg_leads_to_the_same_page(line: Trunk, owner: User) -> None:
    child = make.leg(property=line.place, split_from=line.legs[2], starts_at_ft=0.0, length_ft=50.0)
    make.leg(property=line.place, split_from=line.legs[2], starts_at_ft=50.0, length_ft=50.0)
    line.legs[2].retired_on = date(2024, 1, 1)
    line.legs[2].save()
    assert open_page(owner, address(child)).heading.startswith("Leg T-3 fails ")


def test_before_and_after_a_renewal(line: Trunk, owner: User) -> None:
    Renewal.objects.create(leg=line.legs[2], on=date(2022, 12, 1), kind="guard")
    words = open_page(owner, address(line.legs[2])).panel("renewed")
    assert "since it was renewed" in words
    assert "part of any fall is chance" in words


def test_a_leg_on_which_nothing_is_counted_says_so(line: Trunk, owner: User) -> None:
    gone = make.leg(property=line.place, retired_on=date(2021, 1, 1))
    assert "Nothing is counted here" in open_page(owner, address(gone)).words


COSTS = "worth/?fault_cost=630&per_foot={}&fixed={}"


def test_repair_or_replace(line: Trunk, owner: User) -> None:
    page = open_page(owner, address(line.legs[2], COSTS.format(14, 500)))
    assert "Break-even" in page.panel("ways")
    assert len(page.rows("swings")) == 3
    assert "have underground utilities marked" in page.words
    dear = open_page(owner, address(line.legs[2], COSTS.format(9000, 500)))
    assert "Mending as it breaks costs less" in dear.words
    cheap = open_page(owner, address(line.legs[2], COSTS.format(0, 0) + "&kept_percent=0"))
    assert "Renewing pays: nearly every time." in cheap.words


def test_no_verdict_stands_on_costs_that_nobody_put_in(line: Trunk, owner: User) -> None:
    Tariff.objects.create(property=line.place, labour_rate=70)
    page = open_page(owner, address(line.legs[2], "worth/"))
    assert "9 hours at your labour rate of 70.00 would be 630" in page.words
    assert "Put in what one fault and a renewal cost you" in page.words
    assert "This field is required" not in page.words
    for said in ("It pays, renewed alone", "costs less", "Break-even"):
        assert said not in page.words, said
    half = open_page(owner, address(line.legs[2], "worth/?fault_cost=630&fixed=0"))
    assert half.words.count("Put this in too") == 1
    assert "Break-even" not in half.words


def test_nearly_certain_is_never_all(line: Trunk, owner: User) -> None:
    ways = open_page(owner, address(line.legs[2], COSTS.format(0, 1))).panel("ways")
    assert "more than 99 %" in ways
    assert "100 %" not in ways


def test_a_leg_without_evidence_has_none_when_it_is_weighed(owner: User) -> None:
    made = trunk((100.0,) * 12)
    for leg in made.legs[:6]:
        made.struck(leg, date(2022, 8, 1))
    for n in range(3):
        made.lost(date(2023, 1, 1 + n), stage="given up")
    query = COSTS.format(3, 0)
    one, none = (open_page(owner, address(made.legs[n], query)) for n in (0, 8))
    for page in (one, none):
        assert "Not enough evidence that it fails more than others." in page.words
    # What was never located raises all legs alike: it is no evidence against one of them.
    view = look([made.place], ALL)
    assert view.ranked is not None
    row = view.row_of(made.legs[8].pk)
    assert row is not None
    assert row.spread > 0
    assert row.located == 0
    known = view.ranked.yearly(row.at, row.years)
    assert known.shape / known.years_behind <= known.ordinary * (1 + 1e-9)


def test_the_number_by_which_legs_are_ranked_is_shown(line: Trunk, owner: User) -> None:
    page = open_page(owner, "/hotspots/")
    times = [float(row[3].split()[0]) for row in page.rows("ranking-title")]
    assert times == sorted(times, reverse=True)
    assert times[0] > 3
    response: Any = signed_in(owner).get("/hotspots/?export=csv")
    rows = list(csv.reader(io.StringIO(b"".join(response.streaming_content).decode("utf-8-sig"))))
    at = rows[0].index("Times as often as others")
    assert float(rows[1][at]) == pytest.approx(times[0], rel=0.01)


def test_ground_not_surveyed_is_told_and_not_ranked(line: Trunk, owner: User) -> None:
    flat = trunk((900.0,))
    flat.legs[0].is_surveyed = False
    flat.legs[0].save()
    before = open_page(owner, "/hotspots/").rows("ranking-title")
    for n in range(2):
        flat.struck(None, date(2022, 6, 1 + n), cause="corrosion")
    page = open_page(owner, "/hotspots/")
    assert page.rows("ranking-title") == before
    assert "2 faults lie on ground not surveyed, outside the rates" in page.words
    assert "corrosion" in page.panel("causes")
    assert open_page(owner, "/hotspots/cause/?cause=corrosion").heading == "Corrosion: 2 faults"
    assert "Nobody has surveyed this leg" in open_page(owner, address(flat.legs[0])).words
    alone = open_page(owner, f"/hotspots/?place={flat.place.ref}")
    assert "2 faults lie on ground not surveyed, outside the rates" in alone.words
    assert "corrosion" in alone.panel("causes").lower()


def test_a_wrong_input_keeps_what_was_typed(line: Trunk, owner: User) -> None:
    page = open_page(owner, address(line.legs[2], "worth/?years=-2&fault_cost=777"))
    assert "greater than or equal to 1" in page.words
    assert 'value="777"' in page.html
    assert 'value="-2"' in page.html


def test_a_cause_tells_where_when_how_deep_and_what_helped(line: Trunk, owner: User) -> None:
    page = open_page(owner, "/hotspots/cause/?cause=rodent")
    assert page.heading == "Rodent: 8 faults"
    assert page.rows("where")[0][0] == "T-3"
    assert "6 to 12 in (15 to 30 cm)" in page.panel("when")
    assert "No mend of this cause says how it was done" in page.panel("helped")
    unknown = signed_in(owner).get("/hotspots/cause/?cause=moon")
    assert unknown.headers["Location"] == "/hotspots/"


def test_a_mend_is_watched_until_the_cause_comes_back(line: Trunk, owner: User) -> None:
    leg = line.legs[4]
    line.struck(
        leg, date(2022, 9, 1), cause="splice", mended_on=date(2022, 9, 2), how_mended="two gels"
    )
    line.struck(leg, date(2023, 3, 3), cause="splice")
    (row,) = open_page(owner, "/hotspots/cause/?cause=splice").rows("helped")
    assert row[:4] == ["two gels", "1", "1", "0.50"]


def test_who_may_see_and_who_may_weigh(line: Trunk) -> None:
    technician = make.user(Role.TECHNICIAN)
    page = open_page(technician, address(line.legs[2]))
    assert page.status == 200
    assert "Repair or replace?" not in page.words
    assert open_page(technician, address(line.legs[2], "worth/")).status == 403
    client = make.user(Role.CLIENT, client=line.place.client)
    assert open_page(client, "/hotspots/").status == 403
    elsewhere = make.user(Role.OWNER, client=make.client())
    assert open_page(elsewhere, address(line.legs[2])).status == 404
    assert "T-3" not in open_page(elsewhere, "/hotspots/").html
