"""Names of notice regions are compared without capitals and stray spaces."""

import pytest

from faults.notices.engines.regions import region_key


@pytest.mark.parametrize("written", ["North Valley", "  north   VALLEY ", "NORTH\tValley\n"])
def test_one_region_is_written_in_several_ways(written: str) -> None:
    assert region_key(written) == "north valley"


def test_another_region_stays_another() -> None:
    assert region_key("Northvalley") != region_key("North Valley")
    assert region_key("STRASSE") == region_key("Straße")
