"""A file older than a split names the old leg: its breaks lie in the parts."""

import pytest

from faults.cases.services.splitting import rejoin_leg, split_leg
from faults.models import Break
from sites.load.services.files import RegisterFile
from sites.models import Leg, Point
from tests.make import TODAY
from tests.services.load import GROUND, base, changes, check, load, sheet, told, words

pytestmark = pytest.mark.django_db

FAULTS = "property code,fault key,reported,stations\nElm,F1,2025-01-05,A:1\n"
HEADS = "fault key,leg,feet,from point,cause"
BREAKS = f"{HEADS}\nF1,L1,30,,root\nF1,L1,75,,rock\nF1,L1,20,S1,age\nF1,L1,90,S1,shovel\n"


def split() -> Leg:
    """Split L1, which is 100 ft long, 40 ft from A."""
    leg = Leg.objects.get(label="L1")
    found = Point.objects.create(property=leg.property, name="found", kind="splice box")
    split_leg(leg=leg, point=found, feet=40.0, from_second=False, on=TODAY, today=TODAY)
    return leg


def places() -> list[tuple[str, float | None, str | None]]:
    """Return where each break lies."""
    rows = Break.objects.order_by("running_number")
    return list(rows.values_list("leg__label", "feet_along", "from_point__name"))


def faults_only(text: str) -> list[RegisterFile]:
    """Return faults and breaks alone, as an office keeps sending them."""
    return [sheet("faults", FAULTS), sheet("breaks", text)]


def test_loading_the_old_file_again_changes_nothing() -> None:
    load(*base(**GROUND, faults=FAULTS, breaks=BREAKS))
    split()
    kept = places()
    preview = load(*faults_only(BREAKS))
    assert changes(preview) == []
    assert (
        places()
        == kept
        == [
            ("L1/1", 30.0, None),
            ("L1/2", 35.0, None),
            ("L1/2", 20.0, "S1"),
            ("L1/1", 30.0, "found"),
        ]
    )


def test_a_new_break_on_the_old_leg_is_kept_in_the_part() -> None:
    load(*base(**GROUND, faults=FAULTS))
    split()
    preview = load(*faults_only(f"{HEADS}\nF1,L1,75,A,root\n"))
    assert places() == [("L1/2", 35.0, "found")]
    assert "leg L1 was split or joined since: this lies in L1/2 now." in words(preview)


def test_a_part_of_a_leg_made_whole_leads_to_that_leg() -> None:
    load(*base(**GROUND, faults=FAULTS))
    rejoin_leg(leg=split())
    load(*faults_only(f"{HEADS}\nF1,L1/2,35,,root\n"))
    assert places() == [("L1", 75.0, None)]


def test_without_feet_nobody_knows_which_part_is_meant() -> None:
    load(*base(**GROUND, faults=FAULTS))
    split()
    preview = check(*faults_only(f"{HEADS}\nF1,L1,,,root\n"))
    assert [where[2].split(" ", 1)[1] for where in told(preview)] == ["leg"]
