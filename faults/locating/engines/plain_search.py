"""A whole search as plain values: what is known, what was read, and what is believed of it."""

from dataclasses import dataclass
from typing import Any

from faults.locating.engines.plain import (
    assumed_from,
    line_from,
    neighbour_from,
    reading_from,
    tools_from,
)
from faults.locating.engines.plain_values import Ids, enum_from, flag_from, items_from, object_from
from faults.locating.engines.searching import Searcher
from faults.locating.engines.symptoms import Symptom


@dataclass(frozen=True, kw_only=True)
class Search(Searcher):
    """A search as it was read, with the keys of its points and legs."""

    ids: Ids


def search_from(plain: object) -> Search:
    """Read a search; readings that were voided do not count."""
    given = object_from(plain, "search")
    known = line_from(given.get("line"))
    soil_is_dry = flag_from(given.get("soil_is_dry", False), "soil_is_dry")
    said = [object_from(each, "reading") for each in items_from(given, "readings")]
    return Search(
        line=known.line,
        ids=known.ids,
        symptom=enum_from(Symptom)(given.get("symptom"), "symptom"),
        neighbours=tuple(neighbour_from(each) for each in _items(given, "neighbours")),
        assumed=assumed_from(given.get("assumed", {})),
        tools=tools_from(given.get("tools", {})),
        soil_is_dry=soil_is_dry,
        readings=tuple(
            reading_from(each, known.ids, soil_is_dry=soil_is_dry)
            for each in said
            if not each.get("voided")
        ),
    )


def _items(given: Any, name: str) -> list[Any]:
    return items_from(given, name) if name in given else []
