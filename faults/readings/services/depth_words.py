"""Why offsets give no depth, in the user's words."""

from django.utils.translation import gettext_lazy

from faults.readings.engines.depth import NoDepth

WHY_NO_DEPTH = {
    NoDepth.ONE_SIDE: gettext_lazy(
        "Measure to both sides: one side alone cannot show a bent field."
    ),
    NoDepth.NOT_ABOVE_0: gettext_lazy(
        "Offsets must be above 0, and the antenna's height not below it."
    ),
    NoDepth.UNLIKE: gettext_lazy(
        "Left and right differ by %s: a neighbouring conductor bends the field, so no depth can "
        "be told. Move along the wire and measure again; expose by hand."
    ),
    NoDepth.NOT_FALLING: gettext_lazy(
        "The reading must be the smaller one at the upper height, with the gain as it was: so no "
        "depth can be told. Move along the wire and measure again; expose by hand."
    ),
    NoDepth.TOO_HIGH: gettext_lazy(
        "The depth would not be above 0: check to which point of the antenna was measured."
    ),
}


def why_no_depth(why: NoDepth, asymmetry: float) -> str:
    """Say in the user's words why there is no depth, and what to do."""
    words = str(WHY_NO_DEPTH[why])
    return words % f"{asymmetry * 100:.0f} %" if why is NoDepth.UNLIKE else words
