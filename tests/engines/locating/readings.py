"""Every kind of reading of a search, drawn at random for tests."""

from hypothesis import strategies as st

from faults.locating.engines.belief import Conductor
from faults.locating.engines.box_tests import BoxTest, Clamped, InsulationTest, Listened
from faults.locating.engines.evidence import Reading
from faults.locating.engines.line import Joint, Line
from faults.locating.engines.mends import Mended
from faults.locating.engines.other_tests import (
    Bypassed,
    Check,
    Checked,
    Distance,
    EarthGradient,
    GradientWalked,
    SpareTried,
)
from faults.locating.engines.seen import Looked, Ohms, OhmsRead, Wear
from faults.locating.engines.tones import MarkedLevel, Third, ToneLevel, ToneWalked
from faults.locating.engines.volts import VoltsRead


def readings(line: Line) -> st.SearchStrategy[Reading]:
    """Draw a reading that can be of this line."""
    box = st.integers(1, len(line.boxes))
    point = st.integers(0, len(line.boxes) + 1)
    yes_no, side = st.booleans(), st.none() | st.booleans()
    feet = st.floats(-50, line.length_ft + 50)
    return st.one_of(
        st.builds(BoxTest, box, side, side, side),
        st.builds(InsulationTest, box, side, side, side),
        st.builds(Listened, box, yes_no),
        st.builds(VoltsRead, box, side, side, side),
        st.builds(Clamped, point, yes_no),
        st.builds(ToneWalked, point, point, st.sampled_from(list(Conductor))),
        st.builds(ToneLevel, st.sampled_from(list(Third)), yes_no, yes_no),
        st.builds(MarkedLevel, st.floats(-5, 15), st.just(1.0), st.just(9.0), yes_no, yes_no),
        st.builds(Distance, feet, yes_no, st.none() | st.floats(0, 40), st.none()),
        st.builds(EarthGradient, feet),
        st.builds(GradientWalked, point, point),
        st.builds(
            Bypassed,
            st.integers(0, len(line.legs) - 1),
            yes_no,
            st.sampled_from([Conductor.HOT, Conductor.COMMON]),
        ),
        st.builds(Checked, st.sampled_from(list(Check)), yes_no),
        st.builds(SpareTried, yes_no),
        st.builds(
            Looked, box, st.sampled_from(list(Joint)), st.none() | st.sampled_from(list(Wear))
        ),
        st.builds(OhmsRead, st.sampled_from(list(Ohms))),
        st.builds(Mended, leg=st.integers(0, len(line.legs) - 1)),
        st.builds(Mended, box=box),
        st.builds(Mended, check=st.sampled_from(list(Check))),
    )
