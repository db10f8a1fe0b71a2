"""Lines and marks of the drawings stand out from the sheet, in the light and in the dark."""

import itertools
import re
from pathlib import Path

import pytest

SHEET = Path(__file__).parents[2] / "sites" / "kernel" / "static" / "sites" / "sheet.css"
# WCAG 2.2, 1.4.11: what one must see to understand a drawing.
LEAST = 3.0
MARKS = ["ink", "ink-soft", "off", "accent", "struck-1", "struck-2", "struck-3"]


def colours(*, dark: bool) -> dict[str, str]:
    """Return the custom properties that are colours, in one theme."""
    text = SHEET.read_text()
    night = "".join(re.findall(r"prefers-color-scheme: dark\) \{(.*?\})\s*\}", text, re.S))
    day = re.sub(r"@media \(prefers-color-scheme: dark\) \{.*?\}\s*\}", "", text, flags=re.S)
    pattern = r"--([\w-]+): (#[0-9a-f]{6});"
    return dict(re.findall(pattern, day)) | (dict(re.findall(pattern, night)) if dark else {})


def brightness(colour: str) -> float:
    """Return the relative luminance, as WCAG 2.2 defines it."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours."""
    low, high = sorted((brightness(one), brightness(other)))
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_that_of_the_definition() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("mark", MARKS)
def test_a_mark_stands_out_from_the_panel(mark: str, dark: bool) -> None:
    known = colours(dark=dark)
    assert contrast(known[mark], known["panel"]) >= LEAST


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_more_breaks_stand_out_more(dark: bool) -> None:
    known = colours(dark=dark)
    ratios = [contrast(known[f"struck-{n}"], known["panel"]) for n in (1, 2, 3)]
    assert ratios == sorted(ratios)
    assert min(b / a for a, b in itertools.pairwise(ratios)) > 1.4


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_the_grids_mark_of_a_station_off_stands_out_from_its_wash(dark: bool) -> None:
    known = colours(dark=dark)
    assert contrast(known["off"], known["warn-wash"]) >= 4.5
