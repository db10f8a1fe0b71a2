"""What the symptom, and dry soil, make of the tests: adapted numbers and tools.

Source: common practice, no source. A short lets the tone pass; a nick reads good when dry; what
comes and goes is often sound while it is tested.
"""

from dataclasses import replace
from enum import StrEnum

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.options import Tools


class Symptom(StrEnum):
    """How the trouble shows."""

    OPEN = "open"
    SHORT = "short"
    LEAK = "leak"
    LOW_VOLTAGE = "low voltage"
    COMES_AND_GOES = "comes and goes"
    NOT_KNOWN = "not known"


# The wire still leads through, so that a tone goes on past the place.
PASSES_TONE = frozenset({Symptom.SHORT, Symptom.LEAK, Symptom.LOW_VOLTAGE})
FINDS_BY_CLAMP = frozenset({Symptom.SHORT})
FINDS_BY_EARTH = frozenset({Symptom.LEAK, Symptom.COMES_AND_GOES})
# A jumper tells of a wire that does not lead through; it takes no short or leak away.
FINDS_BY_JUMPER = frozenset(
    {Symptom.OPEN, Symptom.LOW_VOLTAGE, Symptom.COMES_AND_GOES, Symptom.NOT_KNOWN}
)
# What a meter at the controller shows of a wire with such a trouble: open, dead short, high.
READS = {
    Symptom.OPEN: (0.95, 0.0, 0.02),
    Symptom.SHORT: (0.0, 0.95, 0.0),
    Symptom.LEAK: (0.05, 0.05, 0.05),
    Symptom.LOW_VOLTAGE: (0.05, 0.05, 0.85),
    Symptom.COMES_AND_GOES: (0.30, 0.05, 0.15),
}
# Least that a test must tell for the numbers to be used at all.
LEAST_TOLD = 0.01


def for_symptom(assumed: Assumptions, symptom: Symptom, *, soil_is_dry: bool) -> Assumptions:
    """Return the assumptions as the symptom and the soil leave them; never better than given."""
    reads = READS.get(symptom)
    if reads:
        opens, shorts, highs = reads
        assumed = replace(
            assumed, leg_reads_open=opens, leg_reads_short=shorts, leg_reads_high=highs
        )
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
