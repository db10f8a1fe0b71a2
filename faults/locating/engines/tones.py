"""The tone: walked without a find, or its level where it is fed."""

from dataclasses import dataclass
from enum import StrEnum

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Conductor, Outside, Walk
from faults.locating.engines.evidence import Likelihood, UnusableReading, everywhere
from faults.locating.engines.line import Floats, Line
from faults.locating.engines.misses import (
    is_tone_on,
    missed_after,
    times_at_points,
    times_on_legs,
)
from sites.kernel.lazily import np

# Useless levels lie anywhere from half a span below the marks to half a span above.
FLAT_LEVEL = 0.5


@dataclass(frozen=True)
class ToneWalked:
    """A tone walked from point to point, nothing found: never proof, only less likely there."""

    start: int
    end: int
    conductor: Conductor = Conductor.HOT
    earlier: tuple[Walk, ...] = ()

    @property
    def walk(self) -> Walk:
        """The walk as it is remembered."""
        return Walk(min(self.start, self.end), max(self.start, self.end), self.conductor)

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """What lies on the way was missed; a tone on one conductor tells nothing of another."""
        line.check_point(self.start)
        line.check_point(self.end)
        low, high = sorted((self.start, self.end))
        on_way = (line.cell_leg >= low) & (line.cell_leg < high)
        legs = np.stack(
            [
                np.where(
                    on_way & _hears(self.conductor, each),
                    missed_on_legs(line, self.earlier, each, assumed)[line.cell_leg],
                    1.0,
                )
                for each in Conductor
            ]
        )
        points = np.arange(len(line.point_ft))
        at = (points >= low) & (points <= high) & _hears(self.conductor, Conductor.HOT)
        splice = np.where(at, missed_at_points(line, self.earlier, assumed), 1.0)
        return Likelihood(legs, splice, everywhere(1.0))


def _hears(fed: Conductor, broken: Conductor) -> bool:
    """Whether a tone fed on a conductor shows a break of another; on the bundle it is the hot."""
    is_common = fed is Conductor.COMMON
    return broken is Conductor.BUNDLE or is_common == (broken is Conductor.COMMON)


def missed_on_legs(
    line: Line, walks: tuple[Walk, ...], broken: Conductor, assumed: Assumptions
) -> Floats:
    """Return the chance that the next tone misses such a break on each leg, (n + 1,)."""
    times = times_on_legs(walks, line, is_tone_on(broken))
    return missed_after(times, assumed.tone_detects, assumed.never_shows)


def missed_at_points(line: Line, walks: tuple[Walk, ...], assumed: Assumptions) -> Floats:
    """Return the chance that the next tone misses a bad splice of the hot wire, (n + 2,)."""
    times = times_at_points(walks, line, is_tone_on(Conductor.HOT))
    return missed_after(times, assumed.tone_detects, assumed.never_shows)


class Third(StrEnum):
    """A level of the tone between the user's own marks."""

    LOW = "low"
    MIDDLE = "middle"
    TOP = "top"


@dataclass(frozen=True)
class ToneLevel:
    """How strong the tone is where it is fed. The fallback without marks of the user's own.

    Source: shape of the thirds is common practice, no source.
    """

    third: Third
    from_valve: bool = False
    soil_is_dry: bool = False

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """A near break leaves little wire to radiate; dry soil says nothing."""
        ones = np.ones(len(line.cell_ft))
        if self.soil_is_dry:
            return Likelihood(ones, np.ones(len(line.point_ft)), everywhere(1.0))
        return Likelihood(
            self._third(line.cell_ft, line.length_ft),
            self._third(line.point_ft, line.length_ft),
            everywhere(1 / 3),
        )

    def _third(self, feet: Floats, length_ft: float) -> Floats:
        s = length_ft - feet if self.from_valve else feet
        low = 1 / (1 + np.exp((s - 100) / 30)) + 0.05
        middle = np.exp(-0.5 * ((s - 0.5 * length_ft) / (0.2 * length_ft)) ** 2) + 0.05
        top = np.where(
            s > 0.9 * length_ft,
            1.0,
            np.exp(-0.5 * ((s - 0.9 * length_ft) / (0.15 * length_ft)) ** 2),
        )
        chosen = {Third.LOW: low, Third.MIDDLE: middle, Third.TOP: top + 0.05}[self.third]
        result: Floats = chosen / (low + middle + top + 0.05)
        return result


@dataclass(frozen=True)
class MarkedLevel:
    """How strong the tone is where it is fed, on the scale of the user's own two marks.

    `at_transmitter` is what the receiver shows when the lead is clipped to nothing,
    `on_sound_wire` what it shows on a sound wire of the same run. The level between them grows
    with the feet of wire that radiate. A scale that runs the other way works as well.
    """

    level: float
    at_transmitter: float
    on_sound_wire: float
    from_valve: bool = False
    soil_is_dry: bool = False

    def __post_init__(self) -> None:
        for name in ("level", "at_transmitter", "on_sound_wire"):
            if not np.isfinite(getattr(self, name)):
                raise UnusableReading(f"Expected a number as {name}, got {getattr(self, name)}")
        if self.at_transmitter == self.on_sound_wire:
            raise UnusableReading(
                "Expected two marks that differ, got "
                f"at_transmitter = on_sound_wire = {self.on_sound_wire}"
            )

    @property
    def share(self) -> float:
        """The level as a share of a sound wire's; 0 where nothing radiates."""
        return (self.level - self.at_transmitter) / (self.on_sound_wire - self.at_transmitter)

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """Normal about the share of the wire that is fed, mixed with a share of useless levels.

        A broken common leaves the hot wire whole to the coil and on: nothing is said of it.
        """
        if self.soil_is_dry:
            cells, points = np.ones(len(line.cell_ft)), np.ones(len(line.point_ft))
            return Likelihood(cells, points, everywhere(1.0))
        useless, sd = assumed.level_useless, assumed.level_sd_share

        def chance(feet: Floats) -> Floats:
            fed = (line.length_ft - feet if self.from_valve else feet) / line.length_ft
            normal = np.exp(-0.5 * ((self.share - fed) / sd) ** 2) / (sd * np.sqrt(2 * np.pi))
            result: Floats = (1 - useless) * normal + useless * FLAT_LEVEL
            return result

        fed = chance(line.cell_ft)
        whole = float(chance(np.array([0.0 if self.from_valve else line.length_ft]))[0])
        start = float(chance(np.array([0.0]))[0])
        outside = everywhere(whole) | {
            Outside.COMMON_TERMINAL: FLAT_LEVEL,
            Outside.CONTROLLER_SPLICE: start,
        }
        return Likelihood(
            np.stack([fed, np.full_like(fed, FLAT_LEVEL), fed]), chance(line.point_ft), outside
        )
