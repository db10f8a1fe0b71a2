"""Days on which nothing ran, and valves stuck open: kept, guarded, taken back."""

from datetime import date

import pytest

from sites.kernel.services.verb_days import UnableToCorrect, UnableToUseDay
from sites.models import Meter, Station
from sites.water.services.outages import (
    UnableToNoteWater,
    change_outage,
    note_outage,
    note_stuck_open,
    take_back_outage,
    take_back_stuck_open,
)
from tests import make, make_water

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("late_autumn")]

TODAY = date(2026, 11, 20)
FIRST, AGAIN = date(2025, 8, 1), date(2025, 8, 8)


@pytest.fixture
def lawn() -> Station:
    """A lawn off for some months of which all is known."""
    make_water.climate(rain_in=make_water.RAIN_OF_THE_LAWN)
    return make_water.lawn(removed_on=date(2025, 11, 11))


def applied(station: Station) -> float:
    """Return what the meter says was applied."""
    found: float = Meter.objects.get(spell__station=station).applied_gal
    return found


def noted(station: Station, **given: object) -> object:
    """Note a dead battery of a week."""
    details = {"kind": "dead battery", "from_on": FIRST, "to_on": AGAIN, "notes": "", **given}
    return note_outage(station=station, today=TODAY, **details)  # type: ignore[arg-type]


def test_a_week_without_water_lowers_what_was_applied_and_comes_back(lawn: Station) -> None:
    before = applied(lawn)
    outage = noted(lawn)
    assert applied(lawn) == before - 4 * 756
    take_back_outage(outage=outage, why="the battery was fine")  # type: ignore[arg-type]
    assert applied(lawn) == before
    assert lawn.outages.get().history.first().history_change_reason == (
        "was wrong: the battery was fine"
    )


def test_it_goes_on_until_somebody_says_when_it_ended(lawn: Station) -> None:
    outage = noted(lawn, to_on=None)
    assert applied(lawn) == 6048
    change_outage(
        outage=outage,  # type: ignore[arg-type]
        kind="switched off",
        from_on=FIRST,
        to_on=AGAIN,
        notes="",
        today=TODAY,
    )
    assert applied(lawn) == 49_896 - 4 * 756


@pytest.mark.parametrize(
    ("given", "error", "field"),
    [
        ({"from_on": date(2026, 12, 1), "to_on": None}, UnableToUseDay, "from_on"),
        ({"to_on": FIRST}, UnableToNoteWater, "to_on"),
    ],
)
def test_refuses_days_that_cannot_be(
    lawn: Station, given: dict[str, object], error: type[Exception], field: str
) -> None:
    with pytest.raises(error) as refused:
        noted(lawn, **given)
    assert refused.value.field == field  # type: ignore[attr-defined]
    assert not lawn.outages.exists()


def test_refuses_days_that_overlap_others(lawn: Station) -> None:
    outage = noted(lawn)
    with pytest.raises(UnableToNoteWater, match="2025-08-01"):
        noted(lawn, from_on=date(2025, 8, 7), to_on=None)
    noted(lawn, from_on=AGAIN, to_on=date(2025, 8, 9))
    take_back_outage(outage=outage, why="wrong station")  # type: ignore[arg-type]
    noted(lawn, from_on=date(2025, 8, 2), to_on=date(2025, 8, 3))


def test_refuses_to_take_back_twice_or_without_a_reason(lawn: Station) -> None:
    outage = noted(lawn)
    with pytest.raises(UnableToCorrect):
        take_back_outage(outage=outage, why=" ")  # type: ignore[arg-type]
    take_back_outage(outage=outage, why="wrong station")  # type: ignore[arg-type]
    with pytest.raises(UnableToNoteWater, match="already"):
        take_back_outage(outage=outage, why="again")  # type: ignore[arg-type]


def test_a_valve_stuck_open_is_no_part_of_the_excess(lawn: Station) -> None:
    before = applied(lawn)
    incident = note_stuck_open(station=lawn, on=FIRST, hours=8, notes="", today=TODAY)
    assert applied(lawn) == before
    take_back_stuck_open(incident=incident, why="it was shut", today=TODAY)
    assert lawn.stuck_open.get().withdrawn_on == TODAY
    with pytest.raises(UnableToNoteWater, match="already"):
        take_back_stuck_open(incident=incident, why="again", today=TODAY)


@pytest.mark.parametrize("hours", [0, -2, 800])
def test_refuses_hours_that_cannot_be(hours: float) -> None:
    with pytest.raises(UnableToNoteWater) as refused:
        note_stuck_open(station=make.station(), on=FIRST, hours=hours, notes="", today=TODAY)
    assert refused.value.field == "hours"
