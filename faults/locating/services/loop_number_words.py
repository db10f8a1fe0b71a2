"""The numbers of a bring-home test in the words of the trade, with their units."""

from django.utils.translation import gettext_lazy

SHARE, MINUTES = gettext_lazy("share, 0 to 1"), gettext_lazy("minutes")
TIMES, OHMS = gettext_lazy("times the odds"), gettext_lazy("ohms")

LOOP_WORDS: dict[str, tuple[object, object]] = {
    "loop_sound_if_wire": (gettext_lazy("A wire is sound, off because of its wire"), SHARE),
    "loop_sound_if_not_known": (gettext_lazy("A wire is sound, off and nobody knows why"), SHARE),
    "loop_sound_if_else": (gettext_lazy("A wire is sound, off for something else"), SHARE),
    "loop_sound_if_mended": (
        gettext_lazy("A wire is sound, mended or found not to be the cause"),
        SHARE,
    ),
    "loop_sound_if_break": (gettext_lazy("A wire is sound, its break not mended"), SHARE),
    "loop_trench_broken_odds": (gettext_lazy("Another in its trench is broken"), TIMES),
    "loop_trench_sound_odds": (gettext_lazy("Another in its trench is sound"), TIMES),
    "loop_short_share": (gettext_lazy("A damaged wire is short"), SHARE),
    "loop_poor_share": (gettext_lazy("A damaged wire has a poor splice"), SHARE),
    "loop_other_share": (gettext_lazy("Another pair was read"), SHARE),
    "loop_two_coils_share": (gettext_lazy("A second coil hangs on the wire"), SHARE),
    "loop_hidden_share": (gettext_lazy("A damaged wire reads like a sound one"), SHARE),
    "loop_hidden_share_if_passing": (
        gettext_lazy("A leak, or a fault that comes and goes, reads like a sound wire"),
        SHARE,
    ),
    "loop_symptom_share": (gettext_lazy("A damaged wire is as its symptom says"), SHARE),
    "loop_open_reads_open": (gettext_lazy("A broken wire reads open"), SHARE),
    "loop_other_reads_open": (gettext_lazy("Another pair reads open"), SHARE),
    "loop_apart_right": (gettext_lazy("Wires held apart read as they are"), SHARE),
    "loop_meter_sd_ohms": (gettext_lazy("Spread of a meter and its leads"), OHMS),
    "loop_coil_sd_ohms": (gettext_lazy("Spread of a coil that was measured"), OHMS),
    "loop_poor_adds_ohms": (gettext_lazy("A poor splice adds"), OHMS),
    "loop_poor_spread_ohms": (gettext_lazy("Spread of what a poor splice adds"), OHMS),
    "loop_other_ohms": (gettext_lazy("Another pair with its coil reads"), OHMS),
    "loop_other_spread_ohms": (gettext_lazy("Spread of another pair"), OHMS),
    "loop_gauge_sd_share": (gettext_lazy("Spread of a wire's ohms as sold"), SHARE),
    "loop_measured_sd_share": (gettext_lazy("Spread of a measured length"), SHARE),
    "loop_paced_sd_share": (gettext_lazy("Spread of a paced length"), SHARE),
    "loop_scaled_sd_share": (gettext_lazy("Spread of a scaled length"), SHARE),
    "loop_guessed_sd_share": (gettext_lazy("Spread of a guessed length"), SHARE),
    "loop_common_sd_share": (
        gettext_lazy("Spread of a common whose size is not registered"),
        SHARE,
    ),
    "loop_sound_from": (gettext_lazy("“Sound: can return today” is said from"), SHARE),
    "loop_broken_below": (gettext_lazy("“Broken” is said up to"), SHARE),
    "loop_test_min": (gettext_lazy("Join two wires and read their loop"), MINUTES),
    "loop_return_min": (gettext_lazy("Return a station whose wire is sound"), MINUTES),
}
