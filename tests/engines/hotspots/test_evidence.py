"""Evidence as columns: packed, joined, and observed until a day."""

from datetime import date

import pytest

from reports.hotspots.engines.evidence import (
    DAYS_A_YEAR,
    KINDS,
    Counts,
    Packed,
    Watched,
    joined,
    packed,
)

DAY = date(2020, 1, 1).toordinal()
NONE: dict[str, list[float]] = {name: [] for name in KINDS}


def one_leg(owner: int, key: int, cause: str, **given: list[float]) -> Packed:
    """Return a property with one leg of 500 ft, two wires and two faults on it."""
    columns = {
        **NONE,
        "key": [key],
        "cover": [0],
        "spread": [0.25],
        "part_of": [0],
        "part_leg": [key],
        "part_wires": [2],
        "part_since": [DAY],
        "part_ft": [500.0],
        "fault_of": [0, 0],
        "fault_on": [DAY, DAY + 10],
        "fault_cause": [0, 0],
        "other_on": [DAY + 5],
        "other_cause": [1],
        **given,
    }
    counts = Counts(located=2, unlocated=1)
    return packed(owner, columns, covers=["turf"], causes=[cause, "root"], counts=counts)


def test_properties_are_joined_with_their_legs_in_order_and_names_in_one_list() -> None:
    both = joined([one_leg(7, 30, "splice"), one_leg(8, 20, "root")])
    assert both.key.tolist() == [20, 30]
    assert both.owner.tolist() == [8, 7]
    assert both.fault_of.tolist() == [0, 0, 1, 1]
    assert [both.causes[code] for code in both.fault_cause] == ["root"] * 2 + ["splice"] * 2
    assert [both.causes[code] for code in both.other_cause] == ["root", "root"]
    assert both.counts == Counts(located=4, unlocated=2)


def test_nothing_joins_to_nothing() -> None:
    none = joined([])
    assert (len(Watched(none, DAY)), none.counts, Watched(none, DAY).causes()) == (0, Counts(), [])
    empty = packed(1, NONE, covers=[], causes=[], counts=Counts(before=1))
    assert joined([empty, one_leg(2, 5, "root")]).counts == Counts(2, 1, before=1)


def test_a_leg_in_parts_is_observed_since_the_first_and_counts_each_for_its_own_time() -> None:
    parts = {"part_of": [0, 0], "part_leg": [3, 4], "part_wires": [0, 3]}
    since = {"part_since": [DAY, DAY + 365], "part_ft": [1000.0, 2000.0]}
    seen = Watched(joined([one_leg(1, 3, "root", **parts, **since)]), DAY + 730)
    year = 365 / DAYS_A_YEAR
    assert (seen.since[0], seen.feet[0], seen.years[0]) == (DAY, 3000.0, pytest.approx(2 * year))
    assert seen.ground[0] == pytest.approx(1 * 2 * year + 2 * year)
    # Without a known wire ground holds one.
    assert seen.wire[0] == pytest.approx(1 * 2 * year + 2 * year * 3)


@pytest.mark.parametrize(("until", "days"), [(DAY + 10, 0.0), (DAY + 11, 1.0), (DAY + 12, 2.0)])
def test_feet_and_years_between_two_days_end_with_the_time_in_view(until: int, days: float) -> None:
    seen = Watched(joined([one_leg(1, 3, "root")]), until)
    assert seen.kft_years(DAY + 10, DAY + 20) == pytest.approx(0.5 * days / DAYS_A_YEAR)


def test_what_was_not_observed_before_a_day_has_no_years_before_it() -> None:
    seen = Watched(joined([one_leg(1, 3, "root")]), DAY + 20)
    assert seen.kft_years(0, DAY) == 0.0
    assert seen.kft_years(0, DAY + 1) == pytest.approx(0.5 / DAYS_A_YEAR)


def test_a_fault_counts_from_the_middle_of_its_day_and_within_what_was_observed() -> None:
    seen = Watched(joined([one_leg(1, 3, "root")]), DAY + 11)
    assert seen.history(0).times == (0.5, 10.5)
    assert seen.history(0).end == 11.0
    assert Watched(joined([one_leg(1, 3, "root")]), DAY + 5).history(0).times == (0.5, 5.0)
    assert (seen.fault_counts.tolist(), seen.last_fault.tolist()) == ([2], [DAY + 10])


def test_causes_come_by_count_and_those_alike_by_their_first_day() -> None:
    more = {"other_on": [DAY - 1, DAY + 5], "other_cause": [1, 1]}
    seen = Watched(joined([one_leg(1, 3, "splice", **more)]), DAY + 20)
    assert seen.causes() == [("root", 2), ("splice", 2)]
    later = {"other_on": [DAY + 1, DAY + 5], "other_cause": [1, 1]}
    assert Watched(joined([one_leg(1, 3, "splice", **later)]), DAY).causes() == [
        ("splice", 2),
        ("root", 2),
    ]
