"""Return first: whom it ranks, what it says of those not known, and the visits that it sends."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from faults.models import Job, JobKind
from reports.returning.services import choosing
from reports.returning.services.asking import season_ends
from reports.returning.services.gathering import gather
from reports.returning.services.words import unknown_words
from sites.kernel.engines.roles import Role
from sites.models import Property, StationFacts, User
from sites.runs.services import Silent
from tests import make, make_due, make_jobs, make_prices, make_water
from tests.services.returning.asking import ASKED, AT, TODAY, asked

pytestmark = pytest.mark.django_db


def names(rows: list[dict[str, Any]]) -> set[str]:
    return {row["name"] for row in rows}


def test_the_set_is_worth_what_its_stations_save(manager: User, place: Property) -> None:
    first, second = make_water.lawn(place), make_water.lawn(place, facts={"flow_gpm": 30})
    found = asked(manager)
    assert names(found["in"]) == {str(first), str(second)}
    assert found["worth"] == pytest.approx(sum(row["worth"] for row in found["in"]))
    assert found["worth"] == pytest.approx(sum(row["water_cost"] for row in found["in"]))
    assert found["is_proven"]
    assert found["minutes"] <= 16 * 60
    # The drive counts once: what both take together is less than each alone twice.
    assert [each["kind"] for each in found["set_ups"]].count("drive") == 1


def test_more_stations_ask_the_same_of_kinds_of_visits(manager: User, place: Property) -> None:
    """What a visit of a kind takes is read once: with tens of thousands it was most of the run."""
    counts = []
    for more in (2, 6):
        for _n in range(more):
            make_water.lawn(place)
        with CaptureQueriesContext(connection) as caught:
            gather(Silent(), user=manager, asked=ASKED, at=AT)
        counts.append(sum('FROM "faults_kindofjob"' in one["sql"] for one in caught))
    assert counts[0] == counts[1]
    assert counts[0] > 0


def test_hours_decide_and_the_next_says_what_it_needs(manager: User, place: Property) -> None:
    make_water.lawn(place)
    rich = make_water.lawn(place, facts={"flow_gpm": 40})
    alone = asked(manager)["in"]
    hours = (max(row["minutes"] for row in alone) + 41) / 60
    found = asked(manager, hours=hours)
    assert names(found["in"]) == {str(rich)}
    (other,) = found["out"]
    assert other["needs"] == pytest.approx(found["worth"])
    assert other["alone"] > other["minutes"]


def test_stations_of_one_fault_share_its_search(manager: User, place: Property) -> None:
    first = make_water.lawn(place)
    second = make_water.lawn(place, controller=first.controller)
    fault = make.fault(first, second)
    found = asked(manager)
    assert [row["minutes"] for row in found["in"]] == [10.0, 10.0]
    shared = [each for each in found["set_ups"] if each["kind"] == "fault"]
    assert [each["fault"] for each in shared] == [fault.ref]


def test_a_day_on_which_it_can_be_back_lies_behind_answer_and_notice(
    manager: User, place: Property
) -> None:
    station = make_water.lawn(place)
    at_once = asked(manager)["in"][0]
    make.fault(station)
    (later,) = asked(manager)["in"]
    assert at_once["back_on"] == TODAY.isoformat()
    # Seven days of an answer are assumed; no rule of notice is known.
    assert later["back_on"] == (TODAY + timedelta(days=7)).isoformat()
    assert later["worth"] < at_once["worth"]


def test_the_clients_choice_is_counted_and_never_ranked(manager: User, place: Property) -> None:
    make_water.lawn(place)
    theirs = make_water.lawn(place, reason="client's choice")
    found = asked(manager)
    assert found["the_clients"] == 1
    assert str(theirs) not in names(found["in"] + found["out"] + found["unknown"])


def test_an_unknown_flow_says_from_which_flow_on_it_would_be_in(
    manager: User, place: Property
) -> None:
    make_water.lawn(place, facts={"flow_gpm": 40})
    dark = make_water.lawn(place, facts={"flow_gpm": None})
    hours = (max(row["minutes"] for row in asked(manager)["in"]) + 41) / 60
    found = asked(manager, hours=hours)
    (row,) = found["unknown"]
    assert (row["name"], row["worth"], row["lacks"]) == (str(dark), None, ["flow"])
    name, flow_gpm, is_above = row["turn"]
    assert (name, is_above) == ("flow", True)
    # Entered just below and just above, the whole question gives what was said.
    for share, is_in in ((0.99, False), (1.01, True)):
        StationFacts.objects.filter(station=dark).update(flow_gpm=flow_gpm * share)
        assert (str(dark) in names(asked(manager, hours=hours)["in"])) is is_in


def test_an_unknown_area_says_below_which_area_it_would_be_in(
    manager: User, place: Property
) -> None:
    make_water.lawn(place, facts={"flow_gpm": 20})
    dark = make_water.lawn(place, facts={"flow_gpm": 40, "area_sqft": None})
    hours = (max(row["minutes"] for row in asked(manager)["in"]) + 41) / 60
    (row,) = asked(manager, hours=hours)["unknown"]
    name, area_sqft, is_above = row["turn"]
    assert (name, is_above) == ("area", False)
    for share, is_in in ((0.99, True), (1.01, False)):
        StationFacts.objects.filter(station=dark).update(area_sqft=area_sqft * share)
        assert (str(dark) in names(asked(manager, hours=hours)["in"])) is is_in


@pytest.mark.parametrize("most_exact", [0, 1, 2])
def test_each_unknown_station_says_from_when_it_would_be_in(
    manager: User, place: Property, monkeypatch: pytest.MonkeyPatch, most_exact: int
) -> None:
    """Those that take and share the same are one question; the others say what is enough."""
    make_water.lawn(place, facts={"flow_gpm": 40})
    other = make.place(climate_table="Valley")
    make_water.tariff(other)
    for where in (place, place, other):
        make_water.lawn(where, facts={"flow_gpm": None})
    hours = (max(row["minutes"] for row in asked(manager)["in"]) + 41) / 60
    monkeypatch.setattr(choosing, "MOST_EXACT", most_exact)
    rows = asked(manager, hours=hours)["unknown"]
    assert len(rows) == 3
    by_place = [[row for row in rows if row["place"] == each.ref] for each in (place, other)]
    assert [len({row["is_exact"] for row in each}) for each in by_place] == [1, 1]
    assert sum(each[0]["is_exact"] for each in by_place) == most_exact
    assert all(row["needs"] is not None and row["turn"][0] == "flow" for row in rows)
    words = {unknown_words(row, "USD", place) for row in rows}
    assert any("it is sure to come in" in each for each in words) is (most_exact < 2)
    monkeypatch.setattr(choosing, "MOST_TURNS", 2)
    turns = [row["turn"] for row in asked(manager, hours=hours)["unknown"]]
    assert sum(each is None for each in turns) == 1
    assert any(
        "once it is worth" in unknown_words(row, "USD", place)
        for row in asked(manager, hours=hours)["unknown"]
    )


def test_two_missing_facts_have_no_single_turn(manager: User, place: Property) -> None:
    make_water.lawn(place, facts={"flow_gpm": None, "area_sqft": None})
    (row,) = asked(manager)["unknown"]
    assert row["turn"] is None
    assert row["lacks"] == ["area", "flow"]


def test_age_and_promises_count_as_the_company_sets_them(manager: User, place: Property) -> None:
    station = make_water.lawn(place)
    fault = make.fault(station)
    make_jobs.job(property=place, fault=fault, kind=JobKind.LOCATE, due_on=date(2025, 10, 31))
    plain = asked(manager)["in"][0]
    kept = asked(manager, promise_worth=100.0)["in"][0]
    assert kept["worth"] == pytest.approx(plain["worth"] + 100)
    # Off since 18 July: fourteen days.
    aged = asked(manager, month_worth=30.4375)["in"][0]
    assert aged["besides"] == pytest.approx(14.0)
    # A last day that is not before the end is no promise within it.
    Job.objects.update(due_on=date(2025, 11, 1))
    assert asked(manager, promise_worth=100.0)["in"][0]["besides"] == 0
    # Nor does an earlier promise count once another day was given; the newest does.
    for by_on, besides in ((date(2025, 11, 1), 0), (date(2025, 10, 31), 100)):
        make_due.promise(fault, by_on=by_on)
        assert asked(manager, promise_worth=100.0)["in"][0]["besides"] == besides


def test_in_water_no_price_is_needed(manager: User, place: Property) -> None:
    place.tariffs.all().delete()
    make_water.lawn(place)
    assert [row["lacks"] for row in asked(manager)["unknown"]] == [["price"]]
    found = asked(manager, in_water=True)
    assert found["worth"] == pytest.approx(found["in"][0]["excess_gal"])


def test_under_a_budget_crew_money_is_a_limit(manager: User, place: Property) -> None:
    make_water.lawn(place)
    free = asked(manager)
    cost = free["minutes"] / 60 * 2 * 60
    assert names(asked(manager, budget=cost + 0.01)["in"]) == names(free["in"])
    assert asked(manager, budget=cost - 0.01)["in"] == []


def test_without_a_rate_nothing_is_chosen_under_a_budget(manager: User) -> None:
    make_water.climate()
    where = make.place(climate_table="Valley")
    make_water.tariff(where)
    make_water.lawn(where)
    assert len(asked(manager)["in"]) == 1
    found = asked(manager, budget=1e6)
    assert (found["in"], found["without_rate"]) == ([], [str(where)])
    assert len(found["unknown"]) == 1


def test_money_of_two_currencies_is_never_compared(manager: User, place: Property) -> None:
    make_water.lawn(place)
    abroad = make.place(climate_table="Valley")
    make_water.tariff(abroad)
    make_prices.price_list(property=abroad, currency="EUR")
    make_water.lawn(abroad)
    found = asked(manager)
    assert ({row["place"] for row in found["in"]}, found["other_currency"]) == ({place.ref}, 1)
    assert {row["place"] for row in asked(manager, currency="EUR")["in"]} == {abroad.ref}
    assert len(asked(manager, in_water=True)["in"]) == 2


def test_only_what_the_user_sees_prices_of(place: Property) -> None:
    make_water.lawn(place)
    limited = make.user(Role.WATER_MANAGER, property=make.place())
    found = asked(limited)
    assert (found["in"], found["cases"]) == ([], 0)
    assert asked(make.user(Role.TECHNICIAN))["cases"] == 0


def test_one_property_alone(manager: User, place: Property) -> None:
    make_water.lawn(place)
    other = make.place(climate_table="Valley")
    make_water.tariff(other)
    make_water.lawn(other)
    assert {row["place"] for row in asked(manager, place=other.pk)["in"]} == {other.ref}


@pytest.mark.parametrize(
    ("start", "end", "until"),
    [
        # 60 days after 1 August is 30 September.
        ("04-01", "10-01", date(2025, 10, 1)),
        ("04-01", "09-30", date(2026, 9, 30)),
        ("10-15", "12-20", date(2025, 12, 20)),
        ("", "", TODAY + timedelta(days=365)),
    ],
)
def test_savings_count_until_a_season_ends(start: str, end: str, until: date) -> None:
    place = make.place(season_start=start, season_end=end)
    assert season_ends([place], TODAY) == until


def test_of_two_seasons_the_later_end_counts() -> None:
    places = [make.place(season_start="04-01", season_end=end) for end in ("10-01", "11-15")] + [
        make.place()
    ]
    assert season_ends(places, TODAY) == date(2025, 11, 15)
