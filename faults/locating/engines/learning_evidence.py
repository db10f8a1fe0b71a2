"""What a finished search tells: where the fault was, what was read, what it took."""

from dataclasses import dataclass

from faults.locating.engines.belief import Conductor, Outside
from faults.locating.engines.evidence import Reading
from faults.locating.engines.line import Line
from faults.locating.engines.symptoms import Symptom

# What takes minutes, by the field that says how many for each unit; walking is feet a minute.
WALK = "walk_ft_per_min"
PACES = (
    WALK,
    "tone_min_per_100_ft",
    "gradient_min_per_100_ft",
    "open_box_min",
    "cut_uncut_min",
    "lasting_splice_min",
    "repeat_min",
    "tone_setup_min",
    "gradient_setup_min",
    "jumper_min",
    "distance_min",
    "terminals_min",
    "coil_min",
    "settle_outside_min",
)


class UnusableEvidence(ValueError):
    """A finished search that cannot be learned from; the message says why."""


@dataclass(frozen=True)
class Truth:
    """Where the fault was found: on a leg in a conductor, at a box's splice, or outside.

    `feet` from the controller where they were measured.
    """

    leg: int | None = None
    conductor: Conductor = Conductor.HOT
    splice: int | None = None
    cause: Outside | None = None
    feet: float | None = None

    def __post_init__(self) -> None:
        places = [self.leg, self.splice, self.cause]
        if sum(place is not None for place in places) != 1:
            raise UnusableEvidence(f"Expected one place where the fault was found, got {self}")


@dataclass(frozen=True)
class Took:
    """Minutes that something took: `what` is one of `PACES`, `amount` how much of it there was.

    Feet for walking, hundreds of feet in turf for a tone, else the number of times.
    """

    what: str
    minutes: float
    amount: float = 1.0

    def __post_init__(self) -> None:
        if self.what not in PACES:
            raise UnusableEvidence(f"Expected one of {', '.join(PACES)}, got {self.what!r}")
        if not (0 < self.minutes < float("inf") and 0 < self.amount < float("inf")):
            raise UnusableEvidence(f"Expected minutes and amount > 0 of {self.what}, got {self}")


@dataclass(frozen=True)
class Finished:
    """A search that ended with a find. `predicted` is the likelihood that its place had before.

    `found_by` is "tone" or "gradient" where such a walk found it, else anything.
    """

    line: Line
    truth: Truth
    readings: tuple[Reading, ...] = ()
    took: tuple[Took, ...] = ()
    symptom: Symptom = Symptom.OPEN
    soil_is_dry: bool = False
    found_by: str = ""
    had_second: bool = False
    predicted: float | None = None
    was_in_likely_set: bool | None = None

    def __post_init__(self) -> None:
        places = [self.truth.leg] + [getattr(each, "leg", None) for each in self.readings]
        for leg in places:
            if leg is not None and not 0 <= leg < len(self.line.legs):
                raise UnusableEvidence(f"Expected a leg 0..{len(self.line.legs) - 1}, got {leg}")
        boxes = [self.truth.splice] + [getattr(each, "box", None) for each in self.readings]
        for box in boxes:
            if box is not None:
                self.line.check_box(box)
