"""The numbers of a search in the words of the trade, with their units."""

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.locating.services.loop_number_words import LOOP_WORDS, MINUTES, SHARE


@dataclass(frozen=True)
class NumberWords:
    """What a number says, and its unit."""

    words: str
    unit: str


TIMES, FEET = gettext_lazy("times"), gettext_lazy("ft")

_WORDS: dict[str, tuple[object, object]] = {
    "hazard_per_ft_year": (
        gettext_lazy("Faults that a wire in turf has"),
        gettext_lazy("per foot and year"),
    ),
    "hazard_prior_faults": (
        gettext_lazy("How many faults of a leg's own outweigh that"),
        gettext_lazy("faults"),
    ),
    "splice_counts_as_ft": (gettext_lazy("A splice fails as often as this much wire"), FEET),
    "p_output": (gettext_lazy("The controller's output is the cause"), SHARE),
    "p_common_terminal": (gettext_lazy("The common at the controller is the cause"), SHARE),
    "p_coil": (gettext_lazy("The coil or its lead is the cause"), SHARE),
    "p_water": (gettext_lazy("The valve or the water is the cause"), SHARE),
    "p_controller_splice": (
        gettext_lazy("The wire's end or splice at the controller is the cause"),
        SHARE,
    ),
    "p_valve_splice": (gettext_lazy("A splice in the valve box is the cause"), SHARE),
    "p_master": (
        gettext_lazy("The master valve or pump is the cause, where a station depends on one"),
        SHARE,
    ),
    "p_wrong_wire": (
        gettext_lazy("Another wire than the station's on its terminal is the cause"),
        SHARE,
    ),
    "bundle_share": (gettext_lazy("Damage on a leg that takes all wires together"), SHARE),
    "common_share": (gettext_lazy("Damage on a leg that takes the common alone"), SHARE),
    "neighbour_dead_if_bundle": (
        gettext_lazy("A station in the same trench is dead where all wires are cut"),
        SHARE,
    ),
    "neighbour_otherwise": (gettext_lazy("Another station is dead for reasons of its own"), SHARE),
    "neighbour_by_common": (
        gettext_lazy("A station beyond a broken common is dead"),
        SHARE,
    ),
    "box_sensitivity": (gettext_lazy("A bad side of a box reads bad"), SHARE),
    "box_specificity": (gettext_lazy("A good side of a box reads good"), SHARE),
    "box_swapped": (gettext_lazy("The two sides of a box are taken for each other"), SHARE),
    "listen_sensitivity": (gettext_lazy("A tone that is there is heard at a box"), SHARE),
    "listen_specificity": (gettext_lazy("No tone is heard where there is none"), SHARE),
    "clamp_sensitivity": (gettext_lazy("A current that flows shows on the clamp"), SHARE),
    "clamp_specificity": (gettext_lazy("Where none flows the clamp shows none"), SHARE),
    "insulation_sensitivity": (gettext_lazy("A leaking side reads bad"), SHARE),
    "insulation_specificity": (gettext_lazy("A sound side reads good"), SHARE),
    "tone_detects": (gettext_lazy("A walk with the tone finds what it passes"), SHARE),
    "level_sd_share": (gettext_lazy("Spread of a level against a sound wire's"), SHARE),
    "level_useless": (gettext_lazy("Levels that say nothing"), SHARE),
    "distance_sd_ft": (gettext_lazy("Spread of a distance by instrument, fixed part"), FEET),
    "distance_sd_share": (gettext_lazy("Spread of a distance by instrument, of itself"), SHARE),
    "distance_useless": (gettext_lazy("Distances that say nothing"), SHARE),
    "gradient_sd_ft": (gettext_lazy("Spread of a place found by two probes"), FEET),
    "gradient_detects": (gettext_lazy("A walk with two probes finds a leak that it passes"), SHARE),
    "bypass_sensitivity": (
        gettext_lazy("With a jumper round the broken leg the station runs"),
        SHARE,
    ),
    "bypass_specificity": (gettext_lazy("Round a sound leg a jumper changes nothing"), SHARE),
    "check_sensitivity": (gettext_lazy("A check finds the cause that it looks at"), SHARE),
    "check_specificity": (gettext_lazy("A check finds right what is right"), SHARE),
    "spare_sensitivity": (
        gettext_lazy("On a spare the station runs, where its wire is bad"),
        SHARE,
    ),
    "spare_specificity": (
        gettext_lazy("On a spare it does not run, where its wire is sound"),
        SHARE,
    ),
    "passing_tone_detects": (
        gettext_lazy("A walk with the tone finds a short or leak that it passes"),
        SHARE,
    ),
    "passing_listen_specificity": (
        gettext_lazy("At a box beyond a short or leak no tone is heard"),
        SHARE,
    ),
    "fleeting_sensitivity": (gettext_lazy("A side that is bad only at times reads bad"), SHARE),
    "dry_sensitivity": (gettext_lazy("A leaking side reads bad in dry soil"), SHARE),
    "volts_sensitivity": (
        gettext_lazy("Beyond a bad place volts read low while the coil runs"),
        SHARE,
    ),
    "volts_specificity": (gettext_lazy("Before it volts read right"), SHARE),
    "unloaded_sensitivity": (
        gettext_lazy("Beyond a break volts read low without a load, too"),
        SHARE,
    ),
    "resistive_sensitivity": (
        gettext_lazy("A side with a high resistance reads bad when its way through is tested"),
        SHARE,
    ),
    "resistive_unloaded": (
        gettext_lazy("Beyond a high resistance volts read low without a load"),
        SHARE,
    ),
    "two_faults": (gettext_lazy("A dead wire has two faults"), SHARE),
    "symptom_wrong": (
        gettext_lazy("A short or a leak that was reported is something else"),
        SHARE,
    ),
    "mend_fails": (gettext_lazy("A mend is not sound: the station stays dead"), SHARE),
    "mended_for_nothing": (
        gettext_lazy("A break that was mended was none of this station's"),
        SHARE,
    ),
    "never_shows": (
        gettext_lazy("Of the places that a walk misses: no such walk would ever show them"),
        SHARE,
    ),
    "same_again": (
        gettext_lazy("Listening once more at the same place says the same for the same reason"),
        SHARE,
    ),
    "worn_if_bad": (gettext_lazy("A bad splice looks wet or corroded"), SHARE),
    "worn_otherwise": (gettext_lazy("A good splice looks wet or corroded"), SHARE),
    "ohms_wrong": (gettext_lazy("Ohms at the controller say anything, for no reason"), SHARE),
    "leg_reads_open": (
        gettext_lazy("A bad wire of unknown trouble reads open at the controller"),
        SHARE,
    ),
    "leg_reads_short": (gettext_lazy("A bad wire of unknown trouble reads short"), SHARE),
    "leg_reads_high": (gettext_lazy("A bad wire of unknown trouble reads too high"), SHARE),
    "leg_reads_low": (gettext_lazy("A bad wire of unknown trouble reads low"), SHARE),
    "coil_reads_open": (gettext_lazy("A bad coil reads open"), SHARE),
    "coil_reads_low": (gettext_lazy("A bad coil reads low: shorted turns"), SHARE),
    "coil_reads_short": (gettext_lazy("A bad coil reads dead short"), SHARE),
    "walk_ft_per_min": (gettext_lazy("Walking"), gettext_lazy("ft per minute")),
    "open_box_min": (gettext_lazy("Open a box, test its splice, splice it again"), MINUTES),
    "cut_uncut_min": (gettext_lazy("Cut a wire that passes uncut, and splice it"), MINUTES),
    "lasting_splice_min": (gettext_lazy("What one more splice for life is worth"), MINUTES),
    "volts_saves_min": (
        gettext_lazy("Reading volts saves at a box: no cut, no new splice"),
        MINUTES,
    ),
    "repeat_min": (gettext_lazy("Test once more in an open box"), MINUTES),
    "tone_setup_min": (gettext_lazy("Set up the transmitter"), MINUTES),
    "tone_min_per_100_ft": (gettext_lazy("Walk 100 ft of turf with the tone"), MINUTES),
    "distance_min": (gettext_lazy("Measure a distance by instrument"), MINUTES),
    "jumper_min": (gettext_lazy("Lay a jumper round a leg"), MINUTES),
    "gradient_setup_min": (gettext_lazy("Set up for the two probes"), MINUTES),
    "gradient_min_per_100_ft": (gettext_lazy("Walk 100 ft of turf with two probes"), MINUTES),
    "read_ohms_min": (gettext_lazy("Read ohms at the controller"), MINUTES),
    "terminals_min": (gettext_lazy("Check the controller's terminals"), MINUTES),
    "coil_min": (gettext_lazy("Check the coil and the valve"), MINUTES),
    "prove_wire_min": (
        gettext_lazy("See at the controller which wire carries a tone that is fed at the valve"),
        MINUTES,
    ),
    "settle_outside_min": (gettext_lazy("Mend a cause at the controller or the valve"), MINUTES),
    "open_ground_min": (
        gettext_lazy("Dig down to a wire and set a box, its cut and splice not in it"),
        MINUTES,
    ),
    "renew_setup_min": (gettext_lazy("Get ready to lay a new wire in place of a leg"), MINUTES),
    "renew_min_per_100_ft": (gettext_lazy("Lay 100 ft of new wire"), MINUTES),
    "dislike_per_min": (
        gettext_lazy("How much more a long search is disliked than a short one"),
        gettext_lazy("per minute"),
    ),
    "default_weighs_tests": (
        gettext_lazy("Own tests that weigh as much as a built-in rate"),
        gettext_lazy("tests"),
    ),
    "default_weighs_minutes": (
        gettext_lazy("Own minutes of work that weigh as much as a built-in pace"),
        MINUTES,
    ),
    "default_weighs_faults": (
        gettext_lazy("Own faults that weigh as much as the built-in rate of faults"),
        gettext_lazy("faults"),
    ),
    "hazard_in_conduit": (gettext_lazy("In conduit a leg is struck, against turf"), TIMES),
    "hazard_planting": (gettext_lazy("Under planting a leg is struck, against turf"), TIMES),
    "hazard_paving": (gettext_lazy("Under paving a leg is struck, against turf"), TIMES),
    "hazard_road": (gettext_lazy("Under a road a leg is struck, against turf"), TIMES),
    "hazard_bare": (gettext_lazy("Under bare soil a leg is struck, against turf"), TIMES),
    "tone_planting": (gettext_lazy("Walking a tone through planting takes, against turf"), TIMES),
    "tone_paving": (gettext_lazy("Walking a tone over paving takes, against turf"), TIMES),
    "tone_road": (gettext_lazy("Walking a tone along a road takes, against turf"), TIMES),
    "tone_bare": (gettext_lazy("Walking a tone over bare soil takes, against turf"), TIMES),
    "years_if_not_known": (
        gettext_lazy("Years of watching where nobody knows since when"),
        gettext_lazy("years"),
    ),
    "move_to_spare_min": (gettext_lazy("Move a station to a spare wire and try it"), MINUTES),
    "guessed_sd_share": (
        gettext_lazy("Further spread of distances over legs whose length was guessed"),
        SHARE,
    ),
}


def number_words(name: str) -> NumberWords:
    """Return a number's words and unit, in the user's language."""
    words, unit = {**_WORDS, **LOOP_WORDS}.get(name, (name, ""))
    return NumberWords(str(words), str(unit))


def group_of(name: str) -> str:
    """Return under which heading a number stands."""
    if name in LOOP_WORDS:
        return _("Bring-home tests")
    unit = _WORDS.get(name, ("", ""))[1]
    if name.startswith("default_weighs"):
        return _("How much own searches weigh")
    if unit is TIMES or name == "years_if_not_known":
        return _("Cover, conduit and records")
    if unit is MINUTES or name.startswith(("walk_", "dislike_")):
        return _("What things take")
    if name.startswith(("hazard", "splice", "p_", "bundle", "common", "neighbour", "two_")):
        return _("What fails, and what other stations tell")
    return _("How tests err")
