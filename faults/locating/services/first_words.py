"""What is asked and tested first, by the symptom alone. Common practice, no source."""

from collections.abc import Callable

from django.utils.translation import gettext as _

from faults.locating.engines.symptoms import Symptom


def first_words(symptom: Symptom) -> str:
    """Return what to ask and test before anything else; empty where the plan says it all."""
    words = _FIRST.get(symptom)
    return words() if words else ""


# Functions, so that each is said in the language of who asks.
_FIRST: dict[Symptom, Callable[[], str]] = {
    Symptom.STAYS_ON: lambda: _(
        "It waters and cannot be stopped from the controller. Shut the water first: the valve's "
        "flow control or the main, by hand, by who may. Then take this station's wire off its "
        "terminal. If the valve stays open, it is the valve: dirt, the diaphragm, its manual "
        "bleed. If it shuts, read volts at the terminal with the station off: volts there come "
        "from the output, none mean a wire that touches a live one."
    ),
    Symptom.RUNS_WITH: lambda: _(
        "It comes on when another station is called. Take this station's wire off its terminal "
        "and call the other. If it still comes on, the two wires touch in the ground or share a "
        "splice: open the boxes to which both come. If not, look at the terminals and the output."
    ),
    Symptom.SEVERAL_WEAK: lambda: _(
        "Several stations are weak together: look at what they share before any box of this wire. "
        "Read volts between output and common at the controller while one runs. Low there: the "
        "transformer or the output. Right there and low at the valve: the common, a corroded "
        "splice in it, or a wire too thin for its length."
    ),
}
