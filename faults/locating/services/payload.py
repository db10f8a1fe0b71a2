"""A search as plain JSON values, for the phone: line, numbers, tools and tests."""

from typing import Any

from faults.locating.engines.plain import (
    ENGINE_VERSION,
    assumed_plain,
    line_plain,
    neighbour_plain,
    tools_plain,
)
from faults.locating.services.beliefs import SYMPTOMS, Believed
from faults.models import Fault, Search, SearchReading, Symptom
from sites.models import Station


def search_payload(
    fault: Fault,
    station: Station,
    search: Search | None,
    state: Believed,
    rows: list[SearchReading],
) -> dict[str, Any]:
    """Return a search as `faults.locating.engines.plain_search.search_from` reads it.

    Numbers and tools are given before symptom and soil change them: the reader does that.
    """
    return {
        "engine": ENGINE_VERSION,
        "id": str(search.key) if search else None,
        "ref": search.ref if search else None,
        "fault": fault.pk,
        "station": station.pk,
        "is_open": bool(search and search.ended_at is None),
        "symptom": SYMPTOMS[Symptom(fault.symptom)].value,
        "line": line_plain(state.ground.line, state.ids),
        "neighbours": [neighbour_plain(each) for each in state.ground.others.told],
        "assumed": assumed_plain(state.searcher.assumed),
        "tools": tools_plain(state.searcher.tools),
        "soil_is_dry": bool(search and search.soil_is_dry),
        "readings": _readings(state, rows),
    }


def _readings(state: Believed, rows: list[SearchReading]) -> list[dict[str, Any]]:
    """All that counts in its order, and the tests that do not count: voided, or off this wire.

    What counts besides the search's own tests is a record: the phone neither lists it among them
    nor takes it back.
    """
    counted = {row.pk for row in state.rows}
    plain = [
        {**each.said, "is_record": True} if each.row is None else _reading(each.row, counts=True)
        for each in state.known
    ]
    return plain + [_reading(row, counts=False) for row in rows if row.pk not in counted]


def _reading(row: SearchReading, *, counts: bool) -> dict[str, Any]:
    return {
        "id": str(row.key),
        "at": row.taken_at.isoformat(),
        "by": str(row.by or ""),
        "voided": not counts,
        **row.said,
    }
