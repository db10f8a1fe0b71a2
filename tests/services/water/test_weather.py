"""Raw weather becomes days of a climate table; what is missing stays missing."""

import pytest

from sites.models import ClimateRow
from sites.water.engines.reference_et import Place
from sites.water.services.weather import UnableToUseWeather, WorkedOut, work_out_weather
from tests import make

pytestmark = pytest.mark.django_db

UCCLE = Place(50.80, 100, 10)
# Example 18 of FAO paper 56 (Uccle, 6 July): 3.9 mm; 3.8806 by the library. The next day lacks
# its sun, the one after its lowest temperature.
WEATHER = (
    "Date,Tmin,Tmax,RH max,RH min,Wind,Rs,Rain\n"
    "2025-07-06,12.3,21.5,84,63,2.78,22.07,5.08\n"
    "2025-07-07,12.3,21.5,84,63,2.78,,\n"
    "2025-07-08,,21.5,84,63,2.78,22.07,0\n\n"
)


def work_out(text: str, name: str = "Uccle") -> WorkedOut:
    """Compute a table from the text of a file."""
    return work_out_weather(name=name, source="a gauge", content=text.encode(), place=UCCLE)


def test_a_full_day_an_estimate_and_a_day_that_stays_missing() -> None:
    assert work_out(WEATHER) == WorkedOut(full=1, estimated=1, missing=1)
    full, estimated = ClimateRow.objects.order_by("day")
    assert full.eto_in * 25.4 == pytest.approx(3.8806, abs=5e-4)
    assert full.rain_in == pytest.approx(0.2)
    assert full.source == "a gauge"
    assert estimated.rain_in is None
    assert estimated.source == "a gauge; estimated from temperatures alone"


def test_the_same_days_again_take_the_place_of_the_first() -> None:
    work_out(WEATHER)
    work_out(WEATHER.replace("22.07,5.08", "11.0,0"))
    row = ClimateRow.objects.get(day=6)
    assert row.eto_in * 25.4 < 3.0
    assert row.history.count() == 2
    assert ClimateRow.objects.count() == 2


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (WEATHER.replace("12.3,21.5,84,63,2.78,22.07", "25,21.5,84,63,2.78,22.07"), "Line 2"),
        (WEATHER.replace("84,63,2.78,22.07,0", "84,63,2.78,22.07,wet"), "Line 4"),
        (WEATHER.replace("2025-07-07", "07/07/25"), "Line 3"),
        (WEATHER.replace("84,63,2.78,22.07,5.08", "63,84,2.78,22.07,5.08"), "humidity"),
        (WEATHER.replace("2.78,22.07,5.08", "2.78,220,5.08"), "MJ"),
        (WEATHER.replace("2.78,22.07,5.08", "-2,22.07,5.08"), "wind"),
        (WEATHER.replace("22.07,5.08", "22.07,-1"), "rain"),
        (WEATHER.replace("22.07,5.08", "nan,1"), "no number"),
    ],
)
def test_a_line_that_cannot_be_used_is_named_and_the_others_are_kept(text: str, words: str) -> None:
    found = work_out(text)
    (line,) = found.left_out
    assert words in line
    assert found.full + found.estimated + found.missing == 2
    assert ClimateRow.objects.count() == found.full + found.estimated >= 1


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (WEATHER.replace("2025-07-07", "2025-07-06"), "twice"),
        ("date,eto\n2025-07-06,5\n", "tmin and tmax"),
        ("date,tmin,tmax\n", "no day"),
        ("date,tmin,tmax\n2025-07-06,cold,warm\n", "No line could be used. Line 2: cold"),
        ("", "tmin and tmax"),
    ],
)
def test_a_file_that_is_no_weather_keeps_nothing(text: str, words: str) -> None:
    with pytest.raises(UnableToUseWeather, match=words) as refused:
        work_out(text)
    assert refused.value.field == "file"
    assert not ClimateRow.objects.exists()


def test_a_table_cannot_be_called_like_a_property_and_no_picture_is_weather() -> None:
    make.place(code="Uccle")
    with pytest.raises(UnableToUseWeather, match="property's code"):
        work_out(WEATHER)
    with pytest.raises(UnableToUseWeather, match="no text"):
        work_out_weather(name="x", source="x", content=b"\xff\xd8\xff", place=UCCLE)
