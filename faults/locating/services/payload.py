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
        "neighbours": [neighbour_plain(each) for each in state.ground.neighbours],
        "assumed": assumed_plain(state.given),
        "tools": tools_plain(state.given_tools),
        "soil_is_dry": bool(search and search.soil_is_dry),
        "readings": [_reading(row) for row in rows],
    }


def _reading(row: SearchReading) -> dict[str, Any]:
    return {
        "id": str(row.key),
        "at": row.taken_at.isoformat(),
        "by": str(row.by or ""),
        "voided": row.voided_at is not None,
        **row.said,
    }
