"""What comes back, as types: the OpenAPI document is made from them."""

from datetime import date, datetime, time
from typing import Annotated, Any, Generic, Literal, TypeVar

from ninja import Schema
from pydantic import Field, create_model

from reports.api.services.register import SERVED, name_of, type_of

Item = TypeVar("Item")
Share = Annotated[float, Field(ge=0, le=1)]


class Page(Schema, Generic[Item]):
    """Rows, and the cursor of the next page; null on the last."""

    items: list[Item]
    next: str | None = None


def _row_of(name: str) -> type[Schema]:
    fields: dict[str, Any] = {
        name_of(column): (type_of(column) | None, Field(default=None, description=column.heading))
        for column in SERVED[name].kind.columns
    }
    made: type[Schema] = create_model(
        f"Row of {name}".title().replace(" ", ""), __base__=Schema, **fields
    )
    return made


# One shape for each sheet of the register, from the columns of the sheet itself.
ROWS: dict[str, type[Schema]] = {name: _row_of(name) for name in SERVED}


class Me(Schema):
    """Whose token it is, what it may do and until when it holds."""

    user: str
    token: str
    scopes: list[str]
    roles: list[str]
    client: str | None
    property_code: str | None
    expires_at: datetime


class StationNamed(Schema):
    """A station as people name it, and by the reference that stays."""

    station_ref: str
    property_code: str
    controller: str
    station_number: int
    station_name: str


class OffCentral(StationNamed):
    """A station off central control. What it waits on is known of today alone."""

    reason: str
    since: date
    since_is_exact: bool
    days: int
    stopgap_ref: str | None
    stopgap_kind: str | None
    fault_ref: str | None = None
    fault_stage: str | None = None
    waits_on: str | None = None
    whose_move: str | None = None
    waiting_since: date | None = None


class Meter(StationNamed):
    """What one station off central control has cost since it went off."""

    since: date
    counted_until: date | None
    excess_gal: float | None
    shortfall_gal: float | None
    is_least: bool
    cost: float | None
    currency: str | None
    cost_is_least: bool
    lacks: list[str]


class FaultStation(StationNamed):
    """A station of a fault, with its own stage."""

    stage: str


class Fault(Schema):
    """A fault with its stations."""

    ref: str
    key: str
    property_code: str
    reported_on: date
    symptom: str
    runs_with: str | None
    stage: str
    summary: str
    promised_on: date | None
    promised_from: time | None
    promised_until: time | None
    closed_on: date | None
    paid_to_client: float | None = Field(
        description="What the client was paid for it, as agreed; only where prices are seen."
    )
    currency: str | None = Field(description="Of what was paid.")
    stations: list[FaultStation]


class Job(Schema):
    """A visit, planned or made."""

    ref: str
    property_code: str
    kind: str
    state: str
    fault_ref: str | None
    crew: str | None
    day: date | None
    due_on: date | None
    expected_minutes: int
    actual_minutes: int | None


class Due(Schema):
    """Something to do on a day."""

    ref: str
    property_code: str
    kind: str
    what: str
    due_on: date
    state: str
    done_on: date | None
    station_ref: str | None
    fault_ref: str | None
    job_ref: str | None


class Hotspot(Schema):
    """A leg where faults keep coming back. Rates are per 1000 ft and year, with their 95 % limits.

    Not flagged is not proven fine: `years` and `length_ft` say how much was watched.
    """

    leg_ref: str
    leg: str
    property_code: str
    faults: float
    length_ft: float
    years: float
    rate: float
    rate_low: float
    rate_high: float
    times_the_rest: float
    is_flagged: bool


class Decided(Schema):
    """What was decided on a leg, and until when."""

    leg_ref: str
    property_code: str
    choice: str
    why: str
    decided_on: date
    look_again_on: date | None
    taken_back_on: date | None


class IssuedReport(Schema):
    """A report as issued; nothing of it changes any more. `address` is its page, for people."""

    ref: str
    number: str
    version: int
    kind: str
    title: str
    property_code: str | None
    client: str | None
    from_on: date
    until_on: date
    language: str
    audience: str
    issued_at: datetime
    data_sha256: str
    address: str


class Change(Schema):
    """Something was added, changed or taken out; read it again by its reference."""

    kind: str
    ref: str
    change: Literal["added", "changed", "deleted"]
    at: datetime


class Done(Schema):
    """What came of a verb: the reference of what was written, and numbers about it."""

    ref: str
    counts: dict[str, int] = {}


class Difference(Schema):
    """Where central's list and the register differ."""

    property_code: str
    controller: str
    station_number: int
    station_ref: str | None
    difference: str
    is_decided: bool


class Feature(Schema):
    """One thing with its place; `properties.kind` says what it is."""

    type: Literal["Feature"]
    id: str
    geometry: dict[str, Any]
    properties: dict[str, Any]


class FeatureCollection(Schema):
    """GeoJSON: WGS 84, longitude first."""

    type: Literal["FeatureCollection"]
    features: list[Feature]
