"""How far off a distance to a fault may be, by its instrument and by the lengths on its way."""

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.line import Floats, Line
from sites.kernel.lazily import np

# An instrument that claims to be exact is still read to a foot or so.
LEAST_SD_FT = 0.5


def distance_sd(
    feet: Floats,
    line: Line,
    assumed: Assumptions,
    *,
    from_valve: bool,
    sd_ft: float | None,
    sd_share: float | None,
) -> Floats:
    """Return the standard error in feet of a distance that ends at each place.

    Args:
        feet: the places, from the controller, whichever end was measured from.
        sd_ft, sd_share: of the instrument, in feet and as a share; None where it does not say.
    """
    end = np.array([line.length_ft])
    from_end = end - feet if from_valve else feet
    guessed = line.guessed_ft(feet)
    if from_valve:
        guessed = line.guessed_ft(end) - guessed
    sd0 = assumed.distance_sd_ft if sd_ft is None else sd_ft
    share = assumed.distance_sd_share if sd_share is None else sd_share
    own = np.hypot(sd0, share * from_end)
    result: Floats = np.maximum(np.hypot(own, assumed.guessed_sd_share * guessed), LEAST_SD_FT)
    return result
