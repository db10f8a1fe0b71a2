"""The cautions of a quote speak in the units of the rest of it."""

import pytest

from faults.quotes.services.shown import cautions_of
from tests import make, make_prices, make_quotes

pytestmark = pytest.mark.django_db


# 29 CFR 1926.651 and .652 say 2, 4 and 5 feet, and .61, 1.22 and 1.52 m beside them (from memory).
@pytest.mark.parametrize(
    ("units", "depth_in", "said"),
    [
        ("US", 47.9, ["2 ft"]),
        ("US", 48, ["2 ft", "4 ft"]),
        ("US", 60, ["2 ft", "5 ft"]),
        ("metric", 47.9, ["61 cm"]),
        ("metric", 48, ["61 cm", "122 cm"]),
        ("metric", 59.9, ["61 cm", "122 cm"]),
        ("metric", 60, ["61 cm", "152 cm"]),
    ],
)
def test_limits_are_in_the_units_of_the_property(
    units: str, depth_in: float, said: list[str]
) -> None:
    make_prices.price_list()
    station = make.station(controller=make.controller(property=make.place(units=units)))
    quote = make_quotes.quote(make_quotes.found_fault(station=station))
    quote.depth_in = depth_in
    words = cautions_of(quote)
    assert len(words) == 1 + len(said)
    for each, measure in zip(words[1:], said, strict=True):
        assert measure in each
    other = " ft" if units == "metric" else " cm"
    assert not any(other in each for each in words)
