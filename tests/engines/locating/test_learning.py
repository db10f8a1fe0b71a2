"""Numbers learned from finished searches: true rates are recovered, few searches move little."""

import numpy as np
import pytest

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Conductor, Outside
from faults.locating.engines.box_tests import BoxTest, Clamped, InsulationTest, Listened
from faults.locating.engines.evidence import Reading
from faults.locating.engines.learning import Learned, learn
from faults.locating.engines.learning_evidence import Finished, Took, Truth, UnusableEvidence
from faults.locating.engines.line import Box, Leg, Line, UnusableLine
from faults.locating.engines.other_tests import (
    Bypassed,
    Check,
    Checked,
    Distance,
    GradientWalked,
    SpareTried,
)
from faults.locating.engines.symptoms import Symptom
from faults.locating.engines.tones import ToneWalked

USUAL = Assumptions()
LINE = Line(tuple(Leg(f"leg {i}", 200) for i in range(4)), tuple(Box(f"b{i}") for i in range(3)))
LAST = Truth(leg=3)


def found(learned: Learned, name: str) -> float:
    number = next(each for each in learned.numbers if each.name == name)
    assert getattr(learned.assumed, name) == number.learned
    return number.learned


def names(learned: Learned) -> set[str]:
    return {each.name for each in learned.numbers}


def finished(*readings: Reading, truth: Truth = LAST, **others: object) -> Finished:
    return Finished(LINE, truth, readings, **others)  # type: ignore[arg-type]


def pair(
    rng: np.random.Generator, leg: int, box: int, rates: tuple[float, float, float]
) -> BoxTest:
    sensitivity, specificity, swapped = rates
    sides = (leg < box, leg >= box)
    sides = sides[::-1] if rng.random() < swapped else sides
    seen = [bool(rng.random() < (sensitivity if bad else 1 - specificity)) for bad in sides]
    return BoxTest(box, *seen)


def box_searches(count: int, rates: tuple[float, float, float]) -> list[Finished]:
    rng = np.random.default_rng(20260107)
    searches = []
    for _ in range(count):
        leg = int(rng.integers(0, 4))
        tests = [pair(rng, leg, int(rng.integers(1, 4)), rates) for _ in range(3)]
        searches.append(finished(*tests, truth=Truth(leg=leg)))
    return searches


def test_no_search_leaves_every_default() -> None:
    learned = learn([], USUAL)
    assert learned.assumed == USUAL
    assert learned.numbers == ()
    assert (learned.searches, learned.held, learned.mean_predicted) == (0, None, None)


def test_many_box_tests_recover_their_three_rates() -> None:
    true = (0.80, 0.90, 0.12)
    learned = learn(box_searches(2500, true), USUAL)
    assert found(learned, "box_sensitivity") == pytest.approx(true[0], abs=0.02)
    assert found(learned, "box_specificity") == pytest.approx(true[1], abs=0.02)
    assert found(learned, "box_swapped") == pytest.approx(true[2], abs=0.02)


def test_few_searches_stay_near_the_defaults_and_more_of_them_move_further() -> None:
    few, more, many = (
        found(learn(box_searches(count, (0.6, 0.95, 0.02)), USUAL), "box_sensitivity")
        for count in (2, 20, 400)
    )
    assert few == pytest.approx(USUAL.box_sensitivity, abs=0.1)
    assert 0.6 < many < more < few


def test_one_rate_is_the_mean_of_default_and_counts_by_weight() -> None:
    # By hand: 40 tests at 0.90 and 10 of which 5 were right: (36 + 5) / 50.
    assumed = Assumptions(default_weighs_tests=40.0, listen_sensitivity=0.90)
    searches = [finished(Listened(2, heard=i < 5)) for i in range(10)]
    learned = learn(searches, assumed)
    number = next(each for each in learned.numbers if each.name == "listen_sensitivity")
    assert (number.default, number.evidence) == (0.90, 10)
    assert number.learned == pytest.approx(0.82)


@pytest.mark.parametrize(
    ("reading", "truth", "name", "was_right"),
    [
        (Listened(2, heard=True), Truth(leg=2), "listen_sensitivity", True),
        (Listened(2, heard=True), Truth(leg=1), "listen_specificity", False),
        (Listened(2, heard=False), Truth(splice=2), "listen_specificity", True),
        (Clamped(2, flows=False), Truth(leg=3), "clamp_sensitivity", False),
        (Clamped(2, flows=False), Truth(leg=0), "clamp_specificity", True),
        (Clamped(2, flows=True), Truth(cause=Outside.COIL), "clamp_sensitivity", True),
        (Bypassed(3, works=True), LAST, "bypass_sensitivity", True),
        (Bypassed(1, works=True), LAST, "bypass_specificity", False),
        (Bypassed(3, False), Truth(3, Conductor.COMMON), "bypass_specificity", True),
        (
            Bypassed(3, True, Conductor.COMMON),
            Truth(3, Conductor.COMMON),
            "bypass_sensitivity",
            True,
        ),
        (Bypassed(3, True, Conductor.COMMON), LAST, "bypass_specificity", False),
        (Listened(2, heard=True), Truth(1, Conductor.COMMON), "listen_sensitivity", True),
        (SpareTried(works=True), LAST, "spare_sensitivity", True),
        (SpareTried(works=False), Truth(splice=1), "spare_sensitivity", False),
        (SpareTried(works=False), Truth(cause=Outside.COIL), "spare_specificity", True),
        (Checked(Check.COIL, False), Truth(cause=Outside.COIL), "check_sensitivity", True),
        (Checked(Check.COIL, False), LAST, "check_specificity", False),
        (ToneWalked(2, 4), LAST, "tone_detects", False),
        (ToneWalked(0, 4), Truth(splice=2), "tone_detects", False),
        (ToneWalked(4, 0, Conductor.COMMON), Truth(3, Conductor.BUNDLE), "tone_detects", False),
        (GradientWalked(4, 3), LAST, "gradient_detects", False),
        (InsulationTest(2, None, True), LAST, "insulation_sensitivity", True),
        (InsulationTest(2, True, None), LAST, "insulation_specificity", False),
    ],
)
def test_each_test_counts_for_the_rate_that_it_speaks_of(
    reading: Reading, truth: Truth, name: str, was_right: bool
) -> None:
    learned = found(learn([finished(reading, truth=truth)] * 5, USUAL), name)
    assert (learned > getattr(USUAL, name)) is was_right


@pytest.mark.parametrize(
    ("reading", "truth"),
    [
        (ToneWalked(0, 2), LAST),
        (ToneWalked(0, 4), Truth(cause=Outside.COIL)),
        (ToneWalked(0, 4), Truth(3, Conductor.COMMON)),
        (ToneWalked(0, 4, Conductor.COMMON), LAST),
        (ToneWalked(0, 4, Conductor.COMMON), Truth(splice=2)),
        (GradientWalked(0, 3), LAST),
        (SpareTried(works=True), Truth(3, Conductor.BUNDLE)),
        (Distance(300), LAST),
        (Distance(300), Truth(cause=Outside.WATER)),
        (Distance(900, is_farthest=True), Truth(1)),
    ],
)
def test_what_says_nothing_of_an_error_is_not_counted(reading: Reading, truth: Truth) -> None:
    with_it, without = (
        learn([finished(*readings, truth=truth)], USUAL) for readings in ((reading,), ())
    )
    assert with_it.numbers == without.numbers


def test_a_find_by_tone_counts_against_the_walks_that_missed() -> None:
    # By hand: 40 at 0.92, then first walks: two finds and one miss: (36.8 + 2) / 43. The find of
    # the second walk is none of a first: what one misses may never show.
    searches = [finished(found_by="tone")] * 2 + [finished(ToneWalked(4, 0), found_by="tone")]
    assert found(learn(searches, USUAL), "tone_detects") == pytest.approx(38.8 / 43)


def test_what_a_symptom_makes_of_a_test_is_learned_apart() -> None:
    short = learn([finished(ToneWalked(0, 4), symptom=Symptom.SHORT)], USUAL)
    assert "tone_detects" not in names(short)
    assert found(short, "passing_tone_detects") < USUAL.passing_tone_detects
    heard = learn(
        [finished(Listened(4 - 1, True), truth=Truth(leg=0), symptom=Symptom.LEAK)], USUAL
    )
    assert "passing_listen_specificity" in names(heard)
    missed = BoxTest(1, controller_bad=None, valve_bad=False)
    dry = learn([finished(missed, symptom=Symptom.LEAK, soil_is_dry=True)], USUAL)
    assert found(dry, "dry_sensitivity") < USUAL.dry_sensitivity
    fleeting = learn([finished(missed, symptom=Symptom.COMES_AND_GOES)], USUAL)
    assert found(fleeting, "fleeting_sensitivity") < USUAL.fleeting_sensitivity
    assert "box_sensitivity" not in names(dry) | names(fleeting)


def test_two_faults_at_once_tell_of_their_share_and_of_no_error() -> None:
    learned = learn([finished(BoxTest(2, True, True), had_second=True)] * 10, USUAL)
    # By hand: 40 at 0.06 and ten of ten: 12.4 / 50.
    assert found(learned, "two_faults") == pytest.approx(0.248)
    assert "box_specificity" not in names(learned)


def test_useless_distances_are_told_from_sound_ones() -> None:
    rng = np.random.default_rng(20260108)
    searches = []
    for _ in range(800):
        feet = float(rng.uniform(0, 800))
        sd = np.hypot(5, 0.06 * feet)
        is_useless = rng.random() < 0.25
        read = float(rng.uniform(0, 800) if is_useless else rng.normal(feet, sd))
        searches.append(finished(Distance(read), truth=Truth(leg=int(feet // 200), feet=feet)))
    once = learn(searches, USUAL)
    again = found(learn(searches, once.assumed), "distance_useless")
    assert 0.15 < found(once, "distance_useless") < 0.30
    assert again == pytest.approx(0.25, abs=0.06)


def test_places_come_as_often_as_they_were_found() -> None:
    truths = [
        *[Truth(cause=Outside.COIL)] * 300,
        *[Truth(leg=0, conductor=Conductor.BUNDLE)] * 350,
        *[LAST] * 350,
    ]
    learned = learn([finished(truth=truth) for truth in truths], USUAL)
    assert found(learned, "p_coil") == pytest.approx(0.3, abs=0.02)
    assert found(learned, "p_water") < USUAL.p_water / 10
    assert found(learned, "bundle_share") == pytest.approx(0.5, abs=0.02)
    # Whatever was found, causes outside the wire never take all.
    all_coils = learn([finished(truth=Truth(cause=Outside.COIL))] * 5000, USUAL)
    assert all_coils.assumed.p_outside < 1


def test_minutes_are_learned_by_how_much_was_done_in_them() -> None:
    # By hand: 120 minutes at 11 a box are 10.9 boxes; 30 boxes took 600 minutes more.
    boxes = [finished(took=(Took("open_box_min", 20.0),))] * 30
    learned = found(learn(boxes, USUAL), "open_box_min")
    assert learned == pytest.approx(720 / (120 / 11 + 30))
    # By hand: 120 minutes at 250 ft are 30,000 ft; 400 minutes at 150 ft are 60,000 more.
    walks = [finished(took=(Took("walk_ft_per_min", 4.0, 600.0),))] * 100
    assert found(learn(walks, USUAL), "walk_ft_per_min") == pytest.approx(90_000 / 520)
    many = [finished(took=(Took("tone_min_per_100_ft", 60.0, 10.0),))] * 200
    assert found(learn(many, USUAL), "tone_min_per_100_ft") == pytest.approx(6.0, abs=0.05)


def test_the_hazard_of_wire_is_learned_from_legs_on_record() -> None:
    legs = [Leg(str(i), 500, years=10, faults=1.0) for i in range(400)]
    # By hand: (5 + 400) faults over 5 / 1e-4 and 2,000,000 ft-years.
    learned = learn([], USUAL, legs)
    assert found(learned, "hazard_per_ft_year") == pytest.approx(405 / 2_050_000)
    assert learn([], USUAL, [Leg("new", 100, years=0)]).numbers == ()


def test_a_test_that_would_say_nothing_keeps_its_defaults() -> None:
    wrong = [finished(Clamped(2, flows=False)), finished(Clamped(2, True), truth=Truth(leg=0))]
    learned = learn(wrong * 500, USUAL)
    assert learned.assumed.clamp_sensitivity == USUAL.clamp_sensitivity
    assert learned.assumed.clamp_specificity == USUAL.clamp_specificity


def test_the_likelihoods_are_held_against_what_was_found() -> None:
    said = [finished(predicted=0.5, was_in_likely_set=i < 40) for i in range(60)]
    learned = learn(said, USUAL)
    # By hand: 40 at 0.90 and 40 of 60.
    assert learned.held == pytest.approx(0.76)
    assert learned.mean_predicted == pytest.approx(0.5)
    assert learned.searches == 60


def test_evidence_that_makes_no_sense_is_refused() -> None:
    with pytest.raises(UnusableEvidence, match="one place"):
        Truth(leg=1, splice=1)
    with pytest.raises(UnusableEvidence, match="one place"):
        Truth()
    with pytest.raises(UnusableEvidence, match="open_box_min"):
        Took("lunch_min", 30)
    with pytest.raises(UnusableEvidence, match="> 0 of open_box_min"):
        Took("open_box_min", 0)
    with pytest.raises(UnusableLine, match="got 9"):
        finished(BoxTest(9, True, False))
    with pytest.raises(UnusableEvidence, match=r"leg 0\.\.3, got 4"):
        finished(truth=Truth(leg=4))


def test_what_is_walked_or_heard_once_more_says_nothing_new_of_its_rate() -> None:
    for reading in (ToneWalked(4, 0), Listened(2, heard=False)):
        once = learn([finished(reading, truth=LAST)] * 5, USUAL)
        twice = learn([finished(reading, reading, truth=LAST)] * 5, USUAL)
        name = "tone_detects" if isinstance(reading, ToneWalked) else "listen_sensitivity"
        assert found(twice, name) == found(once, name) < getattr(USUAL, name)
    # Found by a second walk: the first, which missed it, is what counts.
    late = learn([finished(ToneWalked(4, 0), found_by="tone")] * 5, USUAL)
    assert found(late, "tone_detects") < USUAL.tone_detects
    # At another box it is another test.
    two = [Listened(2, heard=False), Listened(3, heard=False)]
    more = found(learn([finished(*two, truth=LAST)] * 5, USUAL), "listen_sensitivity")
    one = found(learn([finished(two[0], truth=LAST)] * 5, USUAL), "listen_sensitivity")
    assert more < one
