"""Which properties come first where some are equal: most off, then longest off, then the code."""

from datetime import date

import pytest

from reports.off_central.queries import OffGroup, worst_properties
from sites.kernel.engines.roles import Role
from tests import make

pytestmark = pytest.mark.django_db
MAY = date(2025, 5, 1)


def groups_of(*figures: tuple[str, int, date]) -> list[OffGroup]:
    """Make properties in this order, with as many stations off since that day."""
    return [
        OffGroup(make.place(code=code).pk, "wire", count, oldest) for code, count, oldest in figures
    ]


def codes(groups: list[OffGroup], most: int) -> list[str]:
    """Return the codes of the worst."""
    user = make.user(Role.DISPATCHER)
    return [line.code for line in worst_properties(user, most=most, groups=groups)]


@pytest.mark.parametrize("most", [1, 2, 6, 7, 8])
def test_codes_decide_between_any_number_of_equals(most: int) -> None:
    # Made in the order of codes turned round, so that no other order gives this one.
    equal = groups_of(*((f"P{n}", 1, MAY) for n in range(7, 0, -1)))
    assert codes(equal, most) == [f"P{n}" for n in range(1, 8)][:most]


def test_more_comes_before_longer_and_longer_before_the_code() -> None:
    groups = groups_of(
        ("A", 1, date(2025, 5, 2)), ("B", 1, MAY), ("C", 2, date(2025, 5, 9)), ("D", 1, MAY)
    )
    assert codes(groups, 9) == ["C", "B", "D", "A"]
    assert codes(groups, 2) == ["C", "B"]


def test_two_reasons_of_a_property_are_added_and_the_older_day_counts() -> None:
    first, second = groups_of(("A", 2, MAY), ("B", 1, MAY))
    more = OffGroup(second.property_id, "valve or solenoid", 1, date(2025, 4, 1))
    assert codes([first, second, more], 9) == ["B", "A"]


def test_where_nothing_is_off_none_is_worst() -> None:
    assert codes([], 3) == []
