"""A distance that no place on the wire can give: refused, before it speaks for anything else.

Left in, it fits no place of the wire, and so makes a broken common or missing water likelier.
"""

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.distance_error import distance_sd
from faults.locating.engines.evidence import Reading, UnusableReading
from faults.locating.engines.line import Line
from faults.locating.engines.other_tests import Distance, EarthGradient
from sites.kernel.lazily import np

# As for the distances that are computed from ohms. Our own choice.
ERRORS_EXPLAIN = 3.0


class OffTheWire(UnusableReading):
    """A distance before the start or beyond the end by more than its error explains."""

    def __init__(self, feet: float, length_ft: float, error_ft: float) -> None:
        super().__init__(
            f"Expected a place from 0 to {length_ft:.0f} ft, give or take {error_ft:.0f}, "
            f"got {feet:.0f} ft"
        )
        self.feet, self.length_ft, self.error_ft = feet, length_ft, error_ft


def refuse_off_the_wire(reading: Reading, line: Line, assumed: Assumptions) -> None:
    """Refuse a distance whose error does not explain how far off the wire it lies.

    Raises:
        OffTheWire: it lies more than 3 of its standard errors off an end.
        UnusableReading: it is no number.
    """
    if isinstance(reading, EarthGradient):
        reading = Distance(reading.feet, sd_ft=assumed.gradient_sd_ft, sd_share=0.0)
    if not isinstance(reading, Distance):
        return
    if not np.isfinite(reading.feet):
        raise UnusableReading(f"Expected a distance in feet, got {reading.feet}")
    near, far = 0.0, line.length_ft
    end = far if reading.feet > far else near
    place = line.length_ft - end if reading.from_valve else end
    (error,) = distance_sd(
        np.array([place]),
        line,
        assumed,
        from_valve=reading.from_valve,
        sd_ft=reading.sd_ft,
        sd_share=reading.sd_share,
    )
    # A farthest place beyond the end rules out nothing, which is no contradiction.
    over = -np.inf if reading.is_farthest else reading.feet - far
    off = max(near - reading.feet, over)
    if off > ERRORS_EXPLAIN * error:
        raise OffTheWire(reading.feet, line.length_ft, float(error))
