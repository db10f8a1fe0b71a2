"""What is believed of a search, what each test did to it, and what to do next."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Belief
from faults.locating.engines.cases import About, Finding, findings
from faults.locating.engines.effects import effects_of
from faults.locating.engines.evidence import Reading
from faults.locating.engines.off_the_wire import OffTheWire, refuse_off_the_wire
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.plain import reading_from
from faults.locating.engines.plain_values import Ids, UnusablePlain
from faults.locating.engines.searching import Searcher
from faults.locating.engines.symptoms import Symptom as SymptomOfLine
from faults.locating.engines.symptoms import for_symptom
from faults.locating.services.known import Known
from faults.locating.services.line import SearchGround
from faults.locating.services.neighbours import Master
from faults.locating.services.numbers import Assumed
from faults.models import Fault, Search, SearchReading, SearchTool, Symptom

SYMPTOMS = {
    Symptom.OPEN: SymptomOfLine.OPEN,
    Symptom.SHORT: SymptomOfLine.SHORT,
    Symptom.LEAK: SymptomOfLine.LEAK,
    Symptom.LOW_VOLTAGE: SymptomOfLine.LOW_VOLTAGE,
    Symptom.COMES_AND_GOES: SymptomOfLine.COMES_AND_GOES,
    Symptom.STAYS_ON: SymptomOfLine.STAYS_ON,
    Symptom.RUNS_WITH: SymptomOfLine.RUNS_WITH,
    Symptom.SEVERAL_WEAK: SymptomOfLine.SEVERAL_WEAK,
    Symptom.NOT_KNOWN: SymptomOfLine.NOT_KNOWN,
}


@dataclass(frozen=True)
class Effect:
    """What one test did: how likely its result was, and what was believed before and after it."""

    known: Known
    chance: float
    before: Belief
    after: Belief | None


@dataclass(frozen=True)
class Believed:
    """A search as it stands.

    `belief` is None where its tests contradict each other: `effects` then ends with the one that
    left no explanation. `lost` are tests at places that the wire no longer has.
    """

    ground: SearchGround
    searcher: Searcher
    belief: Belief | None
    effects: tuple[Effect, ...]
    lost: tuple[SearchReading, ...] = ()

    @property
    def ids(self) -> Ids:
        """The keys of the line's points and legs."""
        return Ids(self.ground.points, self.ground.legs)

    @property
    def assumed(self) -> Assumptions:
        """The numbers as symptom and soil leave them."""
        return self.searcher.adapted

    @property
    def tools(self) -> Tools:
        """The tools that tell something of the symptom."""
        return self.searcher.useful

    @property
    def before(self) -> Belief:
        """What was believed before anything was tested."""
        return self.searcher.before

    @property
    def known(self) -> list[Known]:
        """What was counted, in its order."""
        return [effect.known for effect in self.effects]

    @property
    def rows(self) -> list[SearchReading]:
        """The search's own tests that were counted, in their order."""
        return [known.row for known in self.known if known.row is not None]

    def findings(self, about: About) -> list[Finding]:
        """Return each case that there is something to say of, the most pressing first."""
        readings = self.searcher.counted[: len(self.effects)]
        return findings(self.before, readings, self.assumed, self.belief, about)

    @cached_property
    def contradiction(self) -> Effect | None:
        """The test after which nothing fits, if there is one."""
        return next((effect for effect in self.effects if effect.after is None), None)

    def chance_of(self, reading: Reading) -> float:
        """Return how likely the result of a next test is, before it is counted.

        Raises:
            Contradiction: the tests so far leave no explanation.
        """
        return self.searcher.state.chance_of(reading)

    def options(self, stand: Stand) -> list[Option]:
        """Return every useful action from where the technician stands, the best first."""
        return [] if self.belief is None else self.searcher.plan(stand)


def believed(
    ground: SearchGround,
    fault: Fault,
    assumed: Assumed,
    *,
    search: Search | None,
    known: Sequence[Known],
    spares: bool,
) -> Believed:
    """Return what is believed after all that counts."""
    is_dry = bool(search and search.soil_is_dry)
    ids = Ids(ground.points, ground.legs)
    symptom = SYMPTOMS[Symptom(fault.symptom)]
    tests = assumed.tests
    if ground.others.master is Master.NONE:
        tests = replace(tests, p_master=0.0)
    adapted = for_symptom(tests, symptom, soil_is_dry=is_dry)
    lost: list[SearchReading] = []
    held: list[Known] = []
    readings: list[Reading] = []
    for each in known:
        try:
            reading = reading_from(each.said, ids, soil_is_dry=is_dry)
            refuse_off_the_wire(reading, ground.line, adapted)
            readings.append(reading)
            held.append(each)
        except (UnusablePlain, OffTheWire):
            # The register changed since: the box is off this wire, the leg was split or measured.
            if each.row is not None:
                lost.append(each.row)
    searcher = Searcher(
        ground.line,
        symptom,
        ground.others.told,
        tests,
        replace(_tools(search, spares, assumed), open_ground=ground.is_surveyed),
        is_dry,
        tuple(readings),
    )
    effects = _effects(searcher, held)
    belief = effects[-1].after if effects else searcher.begun.belief
    return Believed(ground, searcher, belief, effects, tuple(lost))


def _effects(searcher: Searcher, known: Sequence[Known]) -> tuple[Effect, ...]:
    """What each thing that counts did, up to the one that left no explanation."""
    did = effects_of(searcher.begun, searcher.counted)
    return tuple(
        Effect(each, one.chance, one.before, one.after)
        for each, one in zip(known, did, strict=False)
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
        renew=True,
        volts=True,
        ohms=True,
    )
