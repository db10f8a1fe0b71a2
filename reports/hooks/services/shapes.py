"""What a program is told, as types: the rows are those that the API answers with."""

import json
from datetime import date, datetime
from typing import Literal
from uuid import UUID

from ninja import Schema
from ninja.responses import NinjaJSONEncoder

from reports.api.services.shapes import IssuedReport, OffCentral, StationNamed

Because = Literal["returned", "retired", "not meant for central", "corrected"]


class Returned(StationNamed):
    """A station that is off central control no more.

    It need not have come back: `because` says whether it did, was retired, is not meant for
    central any more, or was recorded wrongly. `until` and `was_off` are null where nothing is left
    of that.
    """

    because: Because
    until: date | None
    was_off: OffCentral | None


class Tested(Schema):
    """Nothing happened: somebody tries whether this arrives."""

    says: str


Data = OffCentral | Returned | IssuedReport | Tested


class Told(Schema):
    """One message. `id` is the same however often it comes."""

    id: UUID
    kind: str
    at: datetime
    data: Data


def body_of(key: UUID, kind: str, at: datetime, data: Data) -> str:
    """Return a message as JSON, written as the API writes its answers."""
    told = {"id": key, "kind": kind, "at": at, "data": data.model_dump()}
    return json.dumps(told, cls=NinjaJSONEncoder)
