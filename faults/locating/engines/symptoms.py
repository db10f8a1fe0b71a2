"""What the symptom, and dry soil, make of causes and tests: adapted numbers and tools.

Source: common practice, no source. A short lets the tone pass; a nick reads good when dry; what
comes and goes is often sound while it is tested.
"""

from collections.abc import Mapping
from dataclasses import replace
from enum import StrEnum

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import NUMBER_OF
from faults.locating.engines.options import Tools


class Symptom(StrEnum):
    """How the trouble shows."""

    OPEN = "open"
    SHORT = "short"
    LEAK = "leak"
    LOW_VOLTAGE = "low voltage"
    COMES_AND_GOES = "comes and goes"
    STAYS_ON = "stays on"
    RUNS_WITH = "runs with another"
    SEVERAL_WEAK = "several weak"
    NOT_KNOWN = "not known"


# The wire still leads through, so that a tone goes on past the place.
PASSES_TONE = frozenset(
    {
        *(Symptom.SHORT, Symptom.LEAK, Symptom.LOW_VOLTAGE),
        *(Symptom.STAYS_ON, Symptom.RUNS_WITH, Symptom.SEVERAL_WEAK),
    }
)
FINDS_BY_CLAMP = frozenset({Symptom.SHORT})
FINDS_BY_EARTH = frozenset({Symptom.LEAK, Symptom.COMES_AND_GOES})
# A current that goes astray does so in the station's own wire or coil: a broken common, a dead
# output and a dry pipe show as something else. A short in a bundle is one of its wires.
GOES_ASTRAY = frozenset({Symptom.SHORT, Symptom.LEAK})
# A jumper tells of a wire that does not lead through; it takes no short or leak away.
FINDS_BY_JUMPER = frozenset(
    {
        *(Symptom.OPEN, Symptom.LOW_VOLTAGE, Symptom.COMES_AND_GOES),
        *(Symptom.NOT_KNOWN, Symptom.SEVERAL_WEAK),
    }
)
# A high resistance shows while the coil draws its current.
FINDS_BY_VOLTS = frozenset({Symptom.LOW_VOLTAGE, Symptom.SEVERAL_WEAK})
RESISTIVE = FINDS_BY_VOLTS
# Whether other stations run tells nothing of a wire that is fed when it should not be.
OTHERS_TELL_NOTHING = frozenset({Symptom.STAYS_ON, Symptom.RUNS_WITH})
# What a meter at the controller shows of a wire with such a trouble: open, dead short, high, low.
# Two hot wires that touch put two coils side by side: that reads low.
READS = {
    Symptom.OPEN: (0.95, 0.0, 0.02, 0.0),
    Symptom.SHORT: (0.0, 0.95, 0.0, 0.0),
    Symptom.LEAK: (0.05, 0.05, 0.05, 0.0),
    Symptom.LOW_VOLTAGE: (0.05, 0.05, 0.85, 0.0),
    Symptom.COMES_AND_GOES: (0.30, 0.05, 0.15, 0.0),
    Symptom.STAYS_ON: (0.02, 0.05, 0.03, 0.50),
    Symptom.RUNS_WITH: (0.02, 0.05, 0.03, 0.75),
    Symptom.SEVERAL_WEAK: (0.05, 0.05, 0.85, 0.0),
}
# How many times as often as in any trouble each is to blame for one that shows like this: the
# conductors of a leg (`bundle` = where wires of several stations are hurt together, and so touch),
# then what lies outside the wire. Common practice, no source. What stays on is mostly a valve kept
# open by dirt or a torn diaphragm, then an output that never lets go, then a wire that touches a
# live one. What runs with another has its wire touching the other's: in the ground, in a splice
# that takes both, at the terminals. Several weak ones share the common, its splices or terminal,
# or a transformer whose volts are low.
WEIGHS = {
    Symptom.STAYS_ON: {
        "hot": 0.05,
        "common": 0.05,
        "bundle": 0.35,
        "p_output": 3.0,
        "p_common_terminal": 0.05,
        "p_coil": 0.8,
        "p_water": 20.0,
        "p_controller_splice": 1.0,
        "p_valve_splice": 0.6,
        "p_master": 0.05,
        "p_wrong_wire": 1.0,
    },
    Symptom.RUNS_WITH: {
        "hot": 0.05,
        "common": 0.3,
        "bundle": 2.0,
        "p_output": 2.0,
        "p_common_terminal": 0.3,
        "p_coil": 0.1,
        "p_water": 0.3,
        "p_controller_splice": 6.0,
        "p_valve_splice": 1.5,
        "p_master": 0.05,
        "p_wrong_wire": 6.0,
    },
    Symptom.SEVERAL_WEAK: {
        "hot": 0.05,
        "common": 6.0,
        "bundle": 0.5,
        "p_output": 0.5,
        "p_common_terminal": 8.0,
        "p_coil": 0.1,
        "p_water": 0.5,
        "p_controller_splice": 0.3,
        "p_valve_splice": 0.1,
        "p_master": 3.0,
        "p_wrong_wire": 0.1,
    },
}
# Least that a test must tell for the numbers to be used at all.
LEAST_TOLD = 0.01


def for_symptom(assumed: Assumptions, symptom: Symptom, *, soil_is_dry: bool) -> Assumptions:
    """Return the assumptions as the symptom and the soil leave them; never better than given."""
    reads = READS.get(symptom)
    if reads:
        opens, shorts, highs, lows = reads
        assumed = replace(
            assumed,
            leg_reads_open=opens,
            leg_reads_short=shorts,
            leg_reads_high=highs,
            leg_reads_low=lows,
        )
    if symptom in GOES_ASTRAY:
        assumed = _astray(assumed, with_common=symptom is Symptom.SHORT)
    if symptom in WEIGHS:
        assumed = _weighed(assumed, WEIGHS[symptom])
    if symptom in PASSES_TONE:
        assumed = replace(
            assumed,
            tone_detects=min(assumed.tone_detects, assumed.passing_tone_detects),
            listen_specificity=_at_most(
                assumed.listen_specificity,
                assumed.passing_listen_specificity,
                assumed.listen_sensitivity,
            ),
        )
    if symptom is Symptom.COMES_AND_GOES:
        assumed = _less_sensitive(assumed, assumed.fleeting_sensitivity)
    if symptom in RESISTIVE:
        assumed = _resistive(assumed)
    if soil_is_dry and symptom in FINDS_BY_EARTH:
        assumed = _less_sensitive(assumed, assumed.dry_sensitivity)
    return assumed


def tools_for(tools: Tools, symptom: Symptom) -> Tools:
    """Return the tools without those that tell nothing of such a symptom."""
    return replace(
        tools,
        clamp=tools.clamp and symptom in FINDS_BY_CLAMP,
        insulation=tools.insulation and symptom in FINDS_BY_EARTH,
        gradient=tools.gradient and symptom in FINDS_BY_EARTH,
        jumper=tools.jumper and symptom in FINDS_BY_JUMPER,
        volts=tools.volts and symptom in FINDS_BY_VOLTS,
    )


def _astray(assumed: Assumptions, *, with_common: bool) -> Assumptions:
    """What cannot make such a trouble is to blame only where the symptom was misread.

    A broken common makes no short; its insulation may leak as that of any wire.
    """
    wrong = assumed.symptom_wrong
    least = wrong if with_common else 1.0
    left = 1 - assumed.common_share * (1 - least)
    in_wire = (1 - assumed.p_outside) * left
    kept = assumed.p_coil + assumed.p_controller_splice + assumed.p_valve_splice
    total = in_wire + kept + wrong * (assumed.p_outside - kept)
    if in_wire <= LEAST_TOLD * total:
        return assumed
    common_share = assumed.common_share * least / left
    return replace(
        assumed,
        common_share=common_share,
        bundle_share=min(assumed.bundle_share / left, 1 - common_share),
        p_output=assumed.p_output * wrong / total,
        p_common_terminal=assumed.p_common_terminal * wrong / total,
        p_water=assumed.p_water * wrong / total,
        p_master=assumed.p_master * wrong / total,
        p_wrong_wire=assumed.p_wrong_wire * wrong / total,
        p_coil=assumed.p_coil / total,
        p_controller_splice=assumed.p_controller_splice / total,
        p_valve_splice=assumed.p_valve_splice / total,
    )


def _weighed(assumed: Assumptions, weighs: Mapping[str, float]) -> Assumptions:
    """Weigh each kind of cause by how often it shows like this; all of them still sum to 1."""
    hot = 1 - assumed.bundle_share - assumed.common_share
    common = assumed.common_share * weighs["common"]
    bundle = assumed.bundle_share * weighs["bundle"]
    left = hot * weighs["hot"] + common + bundle
    outside = {name: getattr(assumed, name) * weighs[name] for name in NUMBER_OF.values()}
    in_wire = (1 - assumed.p_outside) * left
    total = in_wire + sum(outside.values())
    if in_wire <= LEAST_TOLD * total:
        return assumed
    common_share = min(common / left, 1.0)
    return replace(
        assumed,
        common_share=common_share,
        bundle_share=min(bundle / left, 1 - common_share),
        **{name: chance / total for name, chance in outside.items()},
    )


def _resistive(assumed: Assumptions) -> Assumptions:
    """A high resistance often has a way through, and leaves volts right without a load."""
    return replace(
        assumed,
        box_sensitivity=_at_most(
            assumed.box_sensitivity, assumed.resistive_sensitivity, assumed.box_specificity
        ),
        unloaded_sensitivity=_at_most(
            assumed.unloaded_sensitivity, assumed.resistive_unloaded, assumed.volts_specificity
        ),
    )


def _less_sensitive(assumed: Assumptions, most: float) -> Assumptions:
    return replace(
        assumed,
        box_sensitivity=_at_most(assumed.box_sensitivity, most, assumed.box_specificity),
        insulation_sensitivity=_at_most(
            assumed.insulation_sensitivity, most, assumed.insulation_specificity
        ),
    )


def _at_most(value: float, most: float, other: float) -> float:
    """Lower a rate, but never so far that the test tells nothing."""
    return min(value, max(most, 1 - other + LEAST_TOLD))
