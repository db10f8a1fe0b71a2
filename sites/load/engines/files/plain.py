"""Sheets and refusals as the bytes that one process sends another, without any code in them."""

import json
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from typing import Any

from sites.cells.engines.raw import RawSheet
from sites.load.engines.files.limits import Unfit

_MADE_FROM: dict[str, Callable[[Any], object]] = {
    "datetime": datetime.fromisoformat,
    "date": date.fromisoformat,
    "time": time.fromisoformat,
    "timedelta": lambda parts: timedelta(*parts),
}


def sheets_out(sheets: list[RawSheet]) -> bytes:
    """Return the sheets as JSON; days and times say which they are."""
    return json.dumps({"sheets": [_sheet_out(sheet) for sheet in sheets]}, default=_cell).encode()


def refusal_out(refusal: Unfit) -> bytes:
    """Return why there are no sheets."""
    return json.dumps({"reason": refusal.reason, "facts": refusal.facts}).encode()


def taken_in(sent: bytes) -> list[RawSheet]:
    """Return the sheets; raises `Unfit` where a refusal was sent, ValueError for anything else."""
    told = json.loads(sent, object_hook=_value)
    if "reason" in told:
        raise Unfit(told["reason"], **told["facts"])
    return [
        RawSheet(
            each["name"],
            each["filename"],
            each["rows"],
            hidden=frozenset(each["hidden"]),
            broken={(row, column): what for row, column, what in each["broken"]},
            delimiter=each["delimiter"],
        )
        for each in told["sheets"]
    ]


def _sheet_out(sheet: RawSheet) -> dict[str, object]:
    return {
        "name": sheet.name,
        "filename": sheet.filename,
        "rows": sheet.rows,
        "hidden": sorted(sheet.hidden),
        "broken": [(*place, what) for place, what in sheet.broken.items()],
        "delimiter": sheet.delimiter,
    }


def _cell(value: date | time | timedelta) -> dict[str, object]:
    if isinstance(value, timedelta):
        return {"timedelta": [value.days, value.seconds, value.microseconds]}
    return {type(value).__name__: value.isoformat()}


def _value(found: dict[str, object]) -> Any:
    if len(found) == 1:
        ((kind, text),) = found.items()
        if kind in _MADE_FROM:
            return _MADE_FROM[kind](text)
    return found
