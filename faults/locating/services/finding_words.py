"""Each case that a search shows, in words: what it means and what to do."""

from collections.abc import Callable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from faults.locating.engines.cases import About, Case, Finding
from faults.locating.services.beliefs import Believed
from faults.locating.services.first_words import first_words
from faults.locating.services.said import said_words
from faults.locating.services.words import share_words
from sites.ground.services.keeping import length_in_words

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
        FindingLine(_WORDS[finding.case](finding, state), finding.case in GRAVE)
        for finding in state.findings(about)
    ]


def _tests(finding: Finding, state: Believed) -> list[str]:
    """The tests that a case is about, as they stand in the list of tests."""
    known = [state.known[i] for i in finding.readings]
    return [_("“%s”") % (each.words or said_words(each.said, state.ground)) for each in known]


def _point(finding: Finding, state: Believed) -> str:
    return state.ground.names[state.ground.points[finding.points[0]]]


def _legs(finding: Finding, state: Believed) -> str:
    return ", ".join(state.ground.line.legs[i].name for i in finding.legs)


def _contradiction(finding: Finding, state: Believed) -> str:
    *earlier, last = _tests(finding, state)
    if not earlier:
        return (
            _(
                "No place and no cause is left that fits all tests: %s does not go with those "
                "before it. Repeat it."
            )
            % last
        )
    return _(
        "These tests contradict each other: %(earlier)s and %(last)s. Repeat the later one, and "
        "void the one that was wrong."
    ) % {"earlier": earlier[0], "last": last}


def _tension(finding: Finding, state: Believed) -> str:
    last, again = _tests(finding, state)[0], _tests(finding, state)[-1]
    return _(
        "%(last)s does not go well with the tests before it. Either a reading is bad (%(bad)s) or "
        "there is a second fault (%(second)s). The cheapest way to tell: repeat %(again)s, about "
        "%(minutes)d min."
    ) % {
        "last": last,
        "bad": share_words(finding.figures["bad_reading"]),
        "second": share_words(finding.figures["second_fault"]),
        "again": again,
        "minutes": max(1, round(finding.figures["retest_min"])),
    }


def _still_dead(finding: Finding, state: Believed) -> str:
    if not finding.by_leg:
        return _("Mended and still dead: there is a second fault.")
    likeliest = max(range(len(finding.by_leg)), key=lambda i: finding.by_leg[i])
    return _(
        "Mended and still dead: a second fault. With the tests made so far it lies most likely on "
        "leg %(leg)s (%(share)s)."
    ) % {
        "leg": state.ground.line.legs[likeliest].name,
        "share": share_words(finding.by_leg[likeliest]),
    }


def _no_second(_finding: Finding, _state: Believed) -> str:
    return _(
        "Mended and still dead, and no second fault fits the tests: test the new splice again, "
        "then look outside the wire."
    )


def _others_dead(_finding: Finding, _state: Believed) -> str:
    return _(
        "The common or the transformer, not this wire: other stations on it do not run either. "
        "Look at the controller's terminals before anybody opens a box."
    )


def _at_controller(finding: Finding, _state: Believed) -> str:
    return _(
        "The cause may well lie at the controller (%s): its terminals, this wire's end there, or "
        "the common. No test in a box can tell these from the first leg."
    ) % share_words(finding.figures["share"])


def _at_valve(finding: Finding, _state: Believed) -> str:
    return _(
        "The cause may well lie at the valve (%s): its splices, the coil, or the valve itself. No "
        "test in a box can tell these from the last leg."
    ) % share_words(finding.figures["share"])


def _other_wire(finding: Finding, _state: Believed) -> str:
    return _(
        "Another wire may sit on this station's terminal (%s): each test along it reads good. "
        "Prove which wire comes from the valve, put that one on the terminal, run the station."
    ) % share_words(finding.figures["share"])


def _both_bad(finding: Finding, state: Believed) -> str:
    if "second_fault" not in finding.figures:
        return _("Both sides bad at %s: possibly two faults.") % _point(finding, state)
    return _("Both sides bad at %(point)s: possibly two faults (%(share)s).") % {
        "point": _point(finding, state),
        "share": share_words(finding.figures["second_fault"]),
    }


def _both_good(finding: Finding, state: Believed) -> str:
    return _(
        "Both sides good at %s: the splice that was cut was bad, or it comes and goes, or another "
        "wire was tested. Splice it again, run the station, then decide."
    ) % _point(finding, state)


def _out_of_range(finding: Finding, state: Believed) -> str:
    place = state.ground.place
    return _(
        "A distance of %(feet)s on a wire of %(length)s: the leads or arms may be the wrong way "
        "round, or the wire's length is wrong. It counts for little."
    ) % {
        "feet": length_in_words(round(finding.figures["feet"]), place),
        "length": length_in_words(round(finding.figures["length_ft"]), place),
    }


def _disagree(finding: Finding, state: Believed) -> str:
    place = state.ground.place
    return _(
        "The distances from both ends add up to %(sum)s, the wire has %(length)s: two faults, each "
        "end seeing its own, or a wrong length."
    ) % {
        "sum": length_in_words(round(finding.figures["sum_ft"]), place),
        "length": length_in_words(round(finding.figures["length_ft"]), place),
    }


def _guessed(finding: Finding, state: Believed) -> str:
    return _(
        "The distance runs over legs whose length was guessed (%s): where it lies is less sure. "
        "Pace them, and correct their lengths."
    ) % _legs(finding, state)


def _dry(_finding: Finding, _state: Believed) -> str:
    return _("The soil is dry: the level of the tone says nothing and is left out. Soak first.")


def _short_path(_finding: Finding, state: Believed) -> str:
    return _(
        "On a wire of %s the thirds of the tone's level lie over each other: weak evidence."
    ) % length_in_words(round(state.ground.line.length_ft), state.ground.place)


def _walked(finding: Finding, state: Believed) -> str:
    return _(
        "Leg %s was walked more than once for nothing. It is not ruled out; another method tells "
        "more than one more walk."
    ) % _legs(finding, state)


def _short(_finding: Finding, _state: Believed) -> str:
    return _(
        "A short lets the tone pass: walks and listening find it less often. A clamp, loop "
        "resistance or a reading of the distance tells more."
    )


def _nick(_finding: Finding, _state: Believed) -> str:
    return _(
        "A nick may read good, above all when dry: insulation, measured wet, tells more than ohms."
    )


def _jumper(finding: Finding, state: Believed) -> str:
    return _(
        "With a jumper round leg %s the station runs: as good as found. Agree with the client "
        "whether the jumper or a stopgap stays until the leg can be opened."
    ) % _legs(finding, state)


def _budget(finding: Finding, _state: Believed) -> str:
    return _(
        "The search has taken %(minutes)d minutes; %(allowed)d were allowed. Ask before you go on, "
        "or end it: a spare or new wire may cost less."
    ) % {
        "minutes": round(finding.figures["minutes"]),
        "allowed": round(finding.figures["budget_min"]),
    }


_WORDS: dict[Case, Callable[[Finding, Believed], str]] = {
    Case.STAYS_ON: lambda _finding, state: first_words(state.searcher.symptom),
    Case.RUNS_WITH: lambda _finding, state: first_words(state.searcher.symptom),
    Case.SEVERAL_WEAK: lambda _finding, state: first_words(state.searcher.symptom),
    Case.CONTRADICTION: _contradiction,
    Case.TENSION: _tension,
    Case.STILL_DEAD: _still_dead,
    Case.NO_SECOND_FITS: _no_second,
    Case.OTHERS_DEAD: _others_dead,
    Case.AT_CONTROLLER: _at_controller,
    Case.AT_VALVE: _at_valve,
    Case.OTHER_WIRE: _other_wire,
    Case.BOTH_BAD: _both_bad,
    Case.BOTH_GOOD: _both_good,
    Case.DISTANCE_OUT_OF_RANGE: _out_of_range,
    Case.DISTANCES_DISAGREE: _disagree,
    Case.LENGTHS_GUESSED: _guessed,
    Case.DRY_LEVEL: _dry,
    Case.SHORT_PATH: _short_path,
    Case.WALKED_IN_VAIN: _walked,
    Case.SHORT_PASSES_TONE: _short,
    Case.NICK_READS_GOOD: _nick,
    Case.JUMPER_WORKS: _jumper,
    Case.PAST_BUDGET: _budget,
}
