"""How often each test was right, counted against where the fault was found."""

from collections.abc import Iterator, Sequence

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import SPOILS_VALVE_SIDE, Conductor, Outside
from faults.locating.engines.box_tests import Clamped, Listened
from faults.locating.engines.evidence import Reading
from faults.locating.engines.learning_evidence import Finished, Truth
from faults.locating.engines.other_tests import (
    CHECKS,
    Bypassed,
    Checked,
    Distance,
    GradientWalked,
    SpareTried,
)
from faults.locating.engines.symptoms import PASSES_TONE
from faults.locating.engines.tones import ToneWalked
from sites.kernel.lazily import np

# A rate by its field: how often it came true, of how often it could have.
Counts = dict[str, tuple[float, float]]


def count_tests(searches: Sequence[Finished], assumed: Assumptions) -> Counts:
    """Return the counts of every test with one result; a search with two faults tells nothing."""
    counts: Counts = {}
    for search in searches:
        if search.had_second:
            continue
        for name, share in _counted(search, assumed):
            yes, tried = counts.get(name, (0.0, 0.0))
            counts[name] = (yes + share, tried + 1)
    return counts


def _counted(search: Finished, assumed: Assumptions) -> Iterator[tuple[str, float]]:
    """What each test tells of its rate; the same asked once more tells nothing new of it.

    The rate of a walk is that of a first walk over a place: what it missed may never show.
    """
    walked: set[str] = set()
    heard: set[tuple[type, int]] = set()
    for reading in search.readings:
        if isinstance(reading, ToneWalked | GradientWalked):
            name = _rate_of_walk(search, reading)
            if name is not None and name not in walked:
                walked.add(name)
                yield name, 0.0
        elif isinstance(reading, Distance):
            yield from _distance(search, reading, assumed)
        elif isinstance(reading, Listened | Clamped):
            place = (type(reading), reading.listen.point)
            if place not in heard:
                heard.add(place)
                yield from _yes_or_no(search, reading)
        else:
            yield from _yes_or_no(search, reading)
    found = {"tone": _rate_of_tone(search), "gradient": "gradient_detects"}.get(search.found_by)
    if found is not None and found not in walked:
        yield found, 1.0


def _rate_of_tone(search: Finished) -> str:
    return "passing_tone_detects" if search.symptom in PASSES_TONE else "tone_detects"


def _rate_of_walk(search: Finished, walk: ToneWalked | GradientWalked) -> str | None:
    """The rate that a walk in vain speaks of; None where it did not pass the fault."""
    if not _is_on_way(search.truth, walk):
        return None
    if isinstance(walk, GradientWalked):
        return "gradient_detects"
    return _rate_of_tone(search) if _carries(search.truth, walk.conductor) else None


def _yes_or_no(search: Finished, reading: Reading) -> Iterator[tuple[str, float]]:
    truth = search.truth
    if isinstance(reading, Listened):
        is_beyond = _is_beyond(truth, reading.box)
        passes = "passing_" if search.symptom in PASSES_TONE and not is_beyond else ""
        yield _rate(f"{passes}listen", is_yes=is_beyond, said=reading.heard)
    elif isinstance(reading, Clamped):
        yield _rate("clamp", is_yes=_is_beyond(truth, reading.point), said=reading.flows)
    elif isinstance(reading, Bypassed):
        is_common = truth.conductor is Conductor.COMMON
        is_for_it = is_common == (reading.conductor is Conductor.COMMON)
        helps = reading.leg == truth.leg and is_for_it
        yield _rate("bypass", is_yes=helps, said=reading.works)
    elif isinstance(reading, SpareTried):
        # Whether a cut bundle takes the spare with it is a matter of its own.
        if truth.leg is None or truth.conductor is not Conductor.BUNDLE:
            in_hot = truth.leg is not None and truth.conductor is Conductor.HOT
            yield _rate("spare", is_yes=in_hot or truth.splice is not None, said=reading.works)
    elif isinstance(reading, Checked):
        is_cause = CHECKS[reading.check] is truth.cause
        yield _rate("check", is_yes=is_cause, said=not reading.is_right)


def _rate(test: str, *, is_yes: bool, said: bool) -> tuple[str, float]:
    return (
        (f"{test}_sensitivity", float(said))
        if is_yes
        else (
            f"{test}_specificity",
            float(not said),
        )
    )


def _is_beyond(truth: Truth, point: int) -> bool:
    """Whether what is fed to the hot wire passes the point: a broken common lets it."""
    if truth.leg is not None:
        return truth.leg >= point or truth.conductor is Conductor.COMMON
    return truth.splice is None or truth.splice > point


def _is_on_way(truth: Truth, walk: ToneWalked | GradientWalked) -> bool:
    low, high = sorted((walk.start, walk.end))
    if truth.leg is not None:
        return low <= truth.leg < high
    return truth.splice is not None and low <= truth.splice <= high


def _carries(truth: Truth, conductor: Conductor) -> bool:
    if truth.splice is not None:
        return conductor is not Conductor.COMMON
    return truth.conductor in (conductor, Conductor.BUNDLE) or conductor is Conductor.BUNDLE


def _distance(
    search: Finished, reading: Distance, assumed: Assumptions
) -> Iterator[tuple[str, float]]:
    """How likely the reading was one of the useless ones, seen from where the fault was."""
    line, truth = search.line, search.truth
    start = dict.fromkeys((Outside.OUTPUT, Outside.CONTROLLER_SPLICE), 0.0)
    ends = start | dict.fromkeys(SPOILS_VALVE_SIDE, line.length_ft)
    feet = ends.get(truth.cause or Outside.WATER)
    if truth.cause is None:
        feet = float(line.point_ft[truth.splice]) if truth.splice is not None else truth.feet
    if feet is None or reading.is_farthest:
        return
    away = line.length_ft - feet if reading.from_valve else feet
    own = assumed.distance_sd_ft if reading.sd_ft is None else reading.sd_ft
    share = assumed.distance_sd_share if reading.sd_share is None else reading.sd_share
    sd = max(float(np.hypot(own, share * away)), 0.5)
    normal = np.exp(-0.5 * ((reading.feet - away) / sd) ** 2) / (sd * np.sqrt(2 * np.pi))
    useless = assumed.distance_useless / line.length_ft
    sound = float((1 - assumed.distance_useless) * normal)
    yield "distance_useless", useless / (useless + sound) if useless > 0 else 0.0
