"""A whole search as plain values: what is known, what was read, and what is believed of it."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Belief, Neighbour, prior
from faults.locating.engines.box_tests import gone_on
from faults.locating.engines.evidence import Reading, after_all
from faults.locating.engines.line import Line
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.plain import (
    assumed_from,
    line_from,
    neighbour_from,
    reading_from,
    tools_from,
)
from faults.locating.engines.plain_values import Ids, enum_from, flag_from, items_from, object_from
from faults.locating.engines.plan import next_actions
from faults.locating.engines.symptoms import Symptom, for_symptom, tools_for


@dataclass(frozen=True)
class Search:
    """One search: its line, what others say, its numbers, tools and readings that count.

    `assumed` and `tools` are as given; `adapted` and `useful` are what symptom and soil leave.
    """

    line: Line
    ids: Ids
    symptom: Symptom
    neighbours: tuple[Neighbour, ...]
    assumed: Assumptions
    tools: Tools
    soil_is_dry: bool
    readings: tuple[Reading, ...]

    @cached_property
    def adapted(self) -> Assumptions:
        """The assumptions by symptom and soil."""
        return for_symptom(self.assumed, self.symptom, soil_is_dry=self.soil_is_dry)

    @cached_property
    def useful(self) -> Tools:
        """The tools that tell something of such a symptom."""
        return tools_for(self.tools, self.symptom)

    @cached_property
    def before(self) -> Belief:
        """What is believed before any reading."""
        return prior(self.line, self.adapted, self.neighbours)

    @cached_property
    def belief(self) -> Belief:
        """What is believed after all readings.

        Raises:
            Contradiction: no explanation is left.
        """
        return after_all(self.before, self.readings, self.adapted)

    def plan(self, stand: Stand) -> list[Option]:
        """Return every useful next action, the best first.

        Raises:
            Contradiction: no explanation is left.
        """
        return next_actions(self.belief, stand, self.useful, self.adapted)


def search_from(plain: object) -> Search:
    """Read a search; readings that were voided do not count, boxes that were left are closed."""
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
        readings=gone_on(
            reading_from(each, known.ids, soil_is_dry=soil_is_dry)
            for each in said
            if not each.get("voided")
        ),
    )


def _items(given: Any, name: str) -> list[Any]:
    return items_from(given, name) if name in given else []
