"""A ground temperature that no ground has is refused, and an old one counts as not measured."""

import pytest

from faults.models import ReadingKind
from faults.readings.services.readings import UnableToTakeReading, take_reading
from sites.wires.services.warmth import warmth_at
from tests import make

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("temperature_f", "is_taken"),
    [(-60.1, False), (-60.0, True), (200.0, True), (200.1, False), (float("nan"), False)],
)
def test_ground_lies_between_60_below_and_200_degrees(
    temperature_f: float, *, is_taken: bool
) -> None:
    def take() -> object:
        return take_reading(
            station=make.station(),
            kind=ReadingKind.OHMS,
            value=24.0,
            taken_on=make.TODAY,
            today=make.TODAY,
            by=None,
            temperature_f=temperature_f,
        )

    if is_taken:
        take()
        return
    with pytest.raises(UnableToTakeReading) as refused:
        take()
    assert refused.value.field == "temperature_f"


def test_one_that_was_kept_before_is_not_reckoned_with() -> None:
    place = make.place()
    usual = warmth_at(place, make.TODAY)
    assert warmth_at(place, make.TODAY, -1000.0) == usual
    assert warmth_at(place, make.TODAY, 68.0).wire_c == pytest.approx(20)
