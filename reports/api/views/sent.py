"""What programs send, as types."""

from datetime import date, time
from typing import Annotated, Literal

from ninja import Schema
from pydantic import AfterValidator, ConfigDict, Field

from faults.models import Answer, OperatorState, Symptom
from sites.models import RunBy

# A distance comes from the calculators, which read more than one value.
KindIn = Literal["ohms", "volts", "insulation", "loop"]


def _no_nul(text: str) -> str:
    if "\x00" in text:
        raise ValueError("a text holds no NUL")
    return text


Words = Annotated[str, AfterValidator(_no_nul)]


class _Sent(Schema):
    """A word that is not known here is refused, not passed over."""

    model_config = ConfigDict(
        extra="forbid", allow_inf_nan=False, use_enum_values=True, validate_default=True
    )


class ReportIn(_Sent):
    """A fault to report; stations of one property, the first one is the one measured."""

    stations: Annotated[list[Words], Field(min_length=1, max_length=200)]
    reported_on: date | None = None
    symptom: Symptom = Symptom.NOT_KNOWN
    runs_with: Annotated[Words, Field(max_length=60)] = ""
    summary: Annotated[Words, Field(max_length=2000)] = ""
    opens_by_hand: Answer = Answer.NOT_TRIED
    others_run: Answer = Answer.NOT_TRIED
    ohms: float | None = None
    caller: Annotated[Words, Field(max_length=120)] = ""
    order_number: Annotated[Words, Field(max_length=60)] = ""
    promised_on: date | None = None
    promised_from: time | None = None
    promised_until: time | None = None


class ReadingIn(_Sent):
    """A reading of one station; ohms never on a live circuit."""

    station: Words
    kind: KindIn
    value: Annotated[
        float | Words, Field(description="A number, or as the meter shows it: OL, 1.2k.")
    ]
    taken_on: date | None = None
    taken_by: Annotated[Words, Field(max_length=60)] = ""
    is_loaded: bool | None = None
    temperature_f: float | None = None
    is_new_coil: bool = False
    notes: Annotated[Words, Field(max_length=2000)] = ""
    across_ohms: float | None = None
    is_open_apart: bool | None = None


class ListedIn(_Sent):
    """A station as the central system lists it."""

    property_code: Annotated[Words, Field(max_length=60)] = ""
    controller: Annotated[Words, Field(min_length=1, max_length=60)]
    station_number: Annotated[int, Field(ge=1, le=999_999)]
    enabled: bool | None = None


class CentralListIn(_Sent):
    """All that the central system lists, of one property or of all."""

    name: Annotated[Words, Field(min_length=1, max_length=120)] = "central"
    property: Words | None = None
    stations: Annotated[list[ListedIn], Field(min_length=1, max_length=50_000)]


class OperatorIn(_Sent):
    """What one owner of buried lines answered to a notice."""

    operator: Annotated[Words, Field(min_length=1, max_length=80)]
    state: OperatorState
    answered_on: date | None = None
    notes: Annotated[Words, Field(max_length=200)] = ""


class AnswersIn(_Sent):
    """Answers to one notice; operators that are not named stay as they are."""

    answers: Annotated[list[OperatorIn], Field(min_length=1, max_length=60)]


class ScheduleIn(_Sent):
    """The schedule of a station from a day on, after the one that the same hand runs now."""

    from_on: date
    run_by: RunBy
    days: Annotated[Words, Field(max_length=40)] = ""
    starts: Annotated[Words, Field(max_length=80)] = ""
    minutes: Annotated[float, Field(ge=0, le=1440)]
    notes: Annotated[Words, Field(max_length=2000)] = ""


class WeatherDay(_Sent):
    """Weather of one day, metric: °C, %, MJ/m² a day, m/s, mm."""

    date: date
    tmin: float | None = None
    tmax: float | None = None
    rhmax: float | None = None
    rhmin: float | None = None
    tdew: float | None = None
    rs: float | None = None
    wind: float | None = None
    rain: float | None = None


class WeatherIn(_Sent):
    """Days of weather for a climate table, and where they were measured."""

    table: Annotated[Words, Field(min_length=1, max_length=60)]
    source: Annotated[Words, Field(min_length=1, max_length=150)]
    latitude: Annotated[float, Field(ge=-66, le=66)]
    elevation_m: Annotated[float, Field(ge=-450, le=6000)]
    wind_height_m: Annotated[float, Field(ge=0.2, le=100)] = 2.0
    days: Annotated[list[WeatherDay], Field(min_length=1, max_length=20_000)]
