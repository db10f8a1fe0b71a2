"""Each case that a search shows, in words: what it means and what to do."""

import math
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from faults.locating.engines.cases import BY_ITSELF, About, Case, Finding
from faults.locating.engines.effects import likeliest
from faults.locating.services.beliefs import Believed
from faults.locating.services.first_words import first_words
from faults.locating.services.said import said_words
from faults.locating.services.words import length_words, share_words

GRAVE = frozenset(
    {
        Case.STAYS_ON,
        Case.CONTRADICTION,
        Case.TENSION,
        Case.STILL_DEAD,
        Case.NO_SECOND_FITS,
        Case.OTHERS_DEAD,
        Case.PAST_BUDGET,
    }
)


@dataclass(frozen=True)
class FindingLine:
    """One message above the strip."""

    words: str
    is_grave: bool


def finding_lines(state: Believed, about: About) -> list[FindingLine]:
    """Return what there is to say of a search, the most pressing first."""
    return [
        FindingLine(_words(finding, state), finding.case in GRAVE)
        for finding in state.findings(about)
    ]


def finding_templates() -> dict[str, tuple[str, str]]:
    """Return each case in words, with the name of the value that a single `%s` stands for.

    A case of two forms has the second one under `_alone`. The phone fills in the same, by the same
    names: `told.js` of the sheet follows `_words` and `_values`.
    """
    return {
        **{case: (first_words(symptom), "") for symptom, case in BY_ITSELF.items()},
        Case.CONTRADICTION: (
            _(
                "These tests contradict each other: %(earlier)s and %(last)s. Repeat the later "
                "one, and void the one that was wrong."
            ),
            "",
        ),
        _alone(Case.CONTRADICTION): (
            _(
                "No place and no cause is left that fits all tests: %s does not go with those "
                "before it. Repeat it."
            ),
            "last",
        ),
        Case.TENSION: (
            _(
                "%(last)s does not go well with the tests before it. Either a reading is bad "
                "(%(bad)s) or there is a second fault (%(second)s). The cheapest way to tell: "
                "repeat %(again)s, about %(minutes)d min."
            ),
            "",
        ),
        Case.STILL_DEAD: (
            _(
                "Mended and still dead: a second fault. With the tests made so far it lies most "
                "likely on leg %(leg)s (%(share)s)."
            ),
            "",
        ),
        Case.NO_SECOND_FITS: (
            _(
                "Mended and still dead, and no second fault fits the tests: test the new splice "
                "again, then look outside the wire."
            ),
            "",
        ),
        Case.OTHERS_DEAD: (
            _(
                "The common or the transformer, not this wire: other stations on it do not run "
                "either. Look at the controller's terminals before anybody opens a box."
            ),
            "",
        ),
        Case.AT_CONTROLLER: (
            _(
                "The cause may well lie at the controller (%s): its terminals, this wire's end "
                "there, or the common. No test in a box can tell these from the first leg."
            ),
            "share",
        ),
        Case.AT_VALVE: (
            _(
                "The cause may well lie at the valve (%s): its splices, the coil, or the valve "
                "itself. No test in a box can tell these from the last leg."
            ),
            "share",
        ),
        Case.OTHER_WIRE: (
            _(
                "Another wire may sit on this station's terminal (%s): each test along it reads "
                "good. Prove which wire comes from the valve, put that one on the terminal, run "
                "the station."
            ),
            "share",
        ),
        Case.BOTH_BAD: (_("Both sides bad at %(point)s: possibly two faults (%(share)s)."), ""),
        _alone(Case.BOTH_BAD): (_("Both sides bad at %s: possibly two faults."), "point"),
        Case.BOTH_GOOD: (
            _(
                "Both sides good at %s: the splice that was cut was bad, or it comes and goes, or "
                "another wire was tested. Splice it again, run the station, then decide."
            ),
            "point",
        ),
        Case.DISTANCE_OUT_OF_RANGE: (
            _(
                "A distance of %(feet)s on a wire of %(length)s: the leads or arms may be the "
                "wrong way round, or the wire's length is wrong. It counts for little."
            ),
            "",
        ),
        Case.DISTANCES_DISAGREE: (
            _(
                "The distances from both ends add up to %(sum)s, the wire has %(length)s: two "
                "faults, each end seeing its own, or a wrong length."
            ),
            "",
        ),
        Case.LENGTHS_GUESSED: (
            _(
                "The distance runs over legs whose length was guessed (%s): where it lies is less "
                "sure. Pace them, and correct their lengths."
            ),
            "leg",
        ),
        Case.DRY_LEVEL: (
            _("The soil is dry: the level of the tone says nothing and is left out. Soak first."),
            "",
        ),
        Case.SHORT_PATH: (
            _("On a wire of %s the thirds of the tone's level lie over each other: weak evidence."),
            "length",
        ),
        Case.WALKED_IN_VAIN: (
            _(
                "Leg %s was walked more than once for nothing. It is not ruled out; another "
                "method tells more than one more walk."
            ),
            "leg",
        ),
        Case.SHORT_PASSES_TONE: (
            _(
                "A short lets the tone pass: walks and listening find it less often. A clamp, "
                "loop resistance or a reading of the distance tells more."
            ),
            "",
        ),
        Case.NICK_READS_GOOD: (
            _(
                "A nick may read good, above all when dry: insulation, measured wet, tells more "
                "than ohms."
            ),
            "",
        ),
        Case.JUMPER_WORKS: (
            _(
                "With a jumper round leg %s the station runs: as good as found. Agree with the "
                "client whether the jumper or a stopgap stays until the leg can be opened."
            ),
            "leg",
        ),
        Case.PAST_BUDGET: (
            _(
                "The search has taken %(minutes)d minutes; %(allowed)d were allowed. Ask before "
                "you go on, or end it: a spare or new wire may cost less."
            ),
            "",
        ),
    }


def quoted() -> str:
    """Return how a test is named within a sentence."""
    return _("“%s”")


def _alone(case: Case) -> str:
    """The second form of a case: no earlier reading is named, or no share is known."""
    return f"{case}, alone"


def _words(finding: Finding, state: Believed) -> str:
    templates = finding_templates()
    alone, values = _alone(finding.case), _values(finding, state)
    is_alone = alone in templates and not {"earlier", "share"} & values.keys()
    words, only = templates[alone if is_alone else finding.case]
    return words % (values[only] if only else values) if "%" in words else words


# By which names the readings of a case are told.
_READINGS = {Case.TENSION: ("last", "again"), Case.CONTRADICTION: ("earlier", "last")}
# By which name each figure is told: of a share, a length, minutes.
_SHARES = {"share": "share", "bad_reading": "bad", "second_fault": "second"}
_LENGTHS = {"feet": "feet", "length_ft": "length", "sum_ft": "sum"}
_MINUTES = {"minutes": "minutes", "budget_min": "allowed", "retest_min": "minutes"}


def _values(finding: Finding, state: Believed) -> dict[str, Any]:
    """What the words of a case are filled in with, by name."""
    names = _READINGS.get(finding.case, ())
    # Without an earlier one the last is the only one.
    named = zip(names[-len(finding.readings) :], finding.readings, strict=True) if names else ()
    values: dict[str, Any] = {name: _test(state, i) for name, i in named}
    for name, figure in finding.figures.items():
        if name in _SHARES:
            values[_SHARES[name]] = share_words(figure)
        elif name in _LENGTHS:
            values[_LENGTHS[name]] = length_words(figure, state.ground.place)
        elif name in _MINUTES:
            values[_MINUTES[name]] = max(1, math.floor(figure + 0.5))
    if finding.case is Case.BOTH_BAD and "second" in values:
        values["share"] = values["second"]
    if finding.points:
        values["point"] = state.ground.names[state.ground.points[finding.points[0]]]
    legs = finding.legs
    if finding.by_leg:
        legs = (likeliest(finding.by_leg),)
        values["share"] = share_words(finding.by_leg[legs[0]])
    if legs:
        values["leg"] = ", ".join(state.ground.line.legs[i].name for i in legs)
    return values


def _test(state: Believed, i: int) -> str:
    """A test as it stands in the list of tests."""
    known = state.known[i]
    return quoted() % (known.words or said_words(known.said, state.ground))
