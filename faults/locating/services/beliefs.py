"""What is believed of a search, what each test did to it, and what to do next."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Belief, Contradiction, prior
from faults.locating.engines.box_tests import gone_on
from faults.locating.engines.cases import About, Finding, findings
from faults.locating.engines.evidence import Reading, chance_of, update
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.plain import reading_from
from faults.locating.engines.plain_values import Ids, UnusablePlain
from faults.locating.engines.plan import next_actions
from faults.locating.engines.symptoms import Symptom as SymptomOfLine
from faults.locating.engines.symptoms import for_symptom, tools_for
from faults.locating.services.line import SearchGround
from faults.locating.services.numbers import Assumed
from faults.models import Fault, Search, SearchReading, SearchTool, Symptom

SYMPTOMS = {
    Symptom.OPEN: SymptomOfLine.OPEN,
    Symptom.SHORT: SymptomOfLine.SHORT,
    Symptom.LEAK: SymptomOfLine.LEAK,
    Symptom.LOW_VOLTAGE: SymptomOfLine.LOW_VOLTAGE,
    Symptom.COMES_AND_GOES: SymptomOfLine.COMES_AND_GOES,
    Symptom.NOT_KNOWN: SymptomOfLine.NOT_KNOWN,
}


@dataclass(frozen=True)
class Effect:
    """What one test did: how likely its result was, and what was believed before and after it."""

    row: SearchReading
    chance: float
    before: Belief
    after: Belief | None


@dataclass(frozen=True)
class Believed:
    """A search as it stands.

    `belief` is None where its tests contradict each other: `effects` then ends with the one that
    left no explanation. `given` and `given_tools` are what symptom and soil made `assumed` and
    `tools` of.
    """

    ground: SearchGround
    given: Assumptions
    given_tools: Tools
    assumed: Assumptions
    tools: Tools
    before: Belief
    belief: Belief | None
    effects: tuple[Effect, ...]
    readings: tuple[Reading, ...]
    lost: tuple[SearchReading, ...] = ()

    @property
    def ids(self) -> Ids:
        """The keys of the line's points and legs."""
        return Ids(self.ground.points, self.ground.legs)

    @property
    def rows(self) -> list[SearchReading]:
        """The tests that were counted, in their order."""
        return [effect.row for effect in self.effects]

    def findings(self, about: About) -> list[Finding]:
        """Return each case that there is something to say of, the most pressing first."""
        return findings(self.before, self.readings, self.assumed, self.belief, about)

    @cached_property
    def contradiction(self) -> Effect | None:
        """The test after which nothing fits, if there is one."""
        return next((effect for effect in self.effects if effect.after is None), None)

    def options(self, stand: Stand) -> list[Option]:
        """Return every useful action from where the technician stands, the best first."""
        if self.belief is None:
            return []
        return next_actions(self.belief, stand, self.tools, self.assumed)


def believed(
    ground: SearchGround,
    fault: Fault,
    assumed: Assumed,
    *,
    search: Search | None,
    rows: Sequence[SearchReading],
    spares: bool,
) -> Believed:
    """Return what is believed after the readings of a search that hold."""
    symptom = SYMPTOMS[Symptom(fault.symptom)]
    is_dry = bool(search and search.soil_is_dry)
    given, given_tools = assumed.tests, _tools(search, spares, assumed)
    tests = for_symptom(given, symptom, soil_is_dry=is_dry)
    tools = tools_for(given_tools, symptom)
    before = prior(ground.line, tests, ground.neighbours)
    ids = Ids(ground.points, ground.legs)
    belief: Belief | None = before
    effects: list[Effect] = []
    readings: list[Reading] = []
    lost: list[SearchReading] = []
    held: list[SearchReading] = []
    told: list[Reading] = []
    for row in rows:
        try:
            told.append(reading_from(row.said, ids, soil_is_dry=is_dry))
            held.append(row)
        except UnusablePlain:
            # The register changed since: the box is off this wire, or the leg was split.
            lost.append(row)
    for row, reading in zip(held, gone_on(told), strict=True):
        if belief is None:
            break
        chance = chance_of(belief, reading, tests)
        try:
            after: Belief | None = update(belief, reading, tests)
        except Contradiction:
            after = None
        effects.append(Effect(row, chance, belief, after))
        readings.append(reading)
        belief = after
    return Believed(
        ground,
        given,
        given_tools,
        tests,
        tools,
        before,
        belief,
        tuple(effects),
        tuple(readings),
        tuple(lost),
    )


def reading_of(said: Mapping[str, object], ground: SearchGround, *, soil_is_dry: bool) -> Reading:
    """Return one test as the engine knows it.

    Raises:
        UnusablePlain, UnusableLine, UnusableReading: it cannot be; the message says why.
    """
    return reading_from(said, Ids(ground.points, ground.legs), soil_is_dry=soil_is_dry)


def _tools(search: Search | None, spares: bool, assumed: Assumed) -> Tools:
    at_hand = set(search.tools) if search else set()
    return Tools(
        distance_at_controller=SearchTool.DISTANCE in at_hand,
        distance_at_valve=SearchTool.DISTANCE in at_hand,
        spare_min=assumed.ground.move_to_spare_min if spares else None,
        may_cut=search.may_cut if search else True,
        clamp=SearchTool.CLAMP in at_hand,
        insulation=SearchTool.INSULATION in at_hand,
        gradient=SearchTool.GRADIENT in at_hand,
        jumper=SearchTool.JUMPER in at_hand,
    )
