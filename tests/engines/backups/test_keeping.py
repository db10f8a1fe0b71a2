"""Which backups of a schedule stay. Days and weeks kept: common practice, no source."""

from datetime import UTC, datetime, timedelta

import pytest

from sites.backups.engines.keeping import to_forget

# A Monday.
MONDAY = datetime(2026, 11, 2, 1, 50, tzinfo=UTC)


def nightly(nights: int, *, every: timedelta = timedelta(days=1)) -> dict[str, datetime]:
    """Return so many backups from a Monday on, named by their number."""
    return {f"{n:03}": MONDAY + n * every for n in range(nights)}


def kept(made: dict[str, datetime], *, days: int, weeks: int) -> list[str]:
    return sorted(set(made) - set(to_forget(made, days=days, weeks=weeks)))


def test_nothing_is_forgotten_of_nothing() -> None:
    assert to_forget({}, days=1, weeks=0) == []


@pytest.mark.parametrize(("nights", "gone"), [(2, []), (3, []), (4, ["000"])])
def test_the_newest_days_are_kept(nights: int, gone: list[str]) -> None:
    assert to_forget(nightly(nights), days=3, weeks=0) == gone


def test_of_one_day_the_newest_is_kept() -> None:
    made = nightly(3, every=timedelta(hours=8))
    assert [each.date() for each in made.values()] == [MONDAY.date()] * 3
    assert kept(made, days=2, weeks=1) == ["002"]


def test_a_week_ends_with_sunday() -> None:
    # Six is the first Sunday, seven the second Monday.
    assert kept(nightly(7), days=1, weeks=2) == ["006"]
    assert kept(nightly(8), days=1, weeks=2) == ["006", "007"]
    assert kept(nightly(15), days=1, weeks=2) == ["013", "014"]


def test_done_each_night_for_two_months_it_keeps_days_and_weeks() -> None:
    left: dict[str, datetime] = {}
    for name, made_at in nightly(60).items():
        left[name] = made_at
        for each in to_forget(left, days=7, weeks=4):
            del left[each]
    # Night 59 is a Thursday; the Sundays before it are 55, 48, 41.
    assert sorted(left) == ["041", "048", *(f"{n:03}" for n in range(53, 60))]


def test_a_week_of_two_years_is_one_week() -> None:
    made = {
        "old": datetime(2026, 12, 31, tzinfo=UTC),
        "new": datetime(2027, 1, 1, tzinfo=UTC),
    }
    assert kept(made, days=1, weeks=2) == ["new"]


def test_after_months_without_any_the_old_ones_stay() -> None:
    made = nightly(3) | {"late": MONDAY + timedelta(days=200)}
    assert to_forget(made, days=4, weeks=0) == []


def test_the_newest_stays_whatever_is_asked() -> None:
    assert kept(nightly(3), days=0, weeks=0) == ["002"]
