"""What is known of ranked legs, and the set of them that gains most within a budget.

Legs of one property share what is paid once there, of the budget and of the gain.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING, Any, Self

from reports.decisions.engines.renewing import Leg, gain_of
from reports.hotspots.engines.hotspots import Ranked
from reports.hotspots.engines.paying import Money
from reports.hotspots.engines.rates import Floats, Ints
from reports.returning.engines.choosing import Candidate, Load, Problem
from sites.kernel.lazily import np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


@dataclass(frozen=True)
class Sought:
    """Legs that could be renewed, as columns: key, key of the property, gain and cost.

    Args:
        once: what is paid once where any leg is renewed, by the key of each property.
        budget: None = no limit.
    """

    key: Ints
    place: Ints
    gain: Floats
    cost: Floats
    once: Mapping[int, float]
    budget: float | None

    def __len__(self) -> int:
        return len(self.key)

    @classmethod
    def of(
        cls,
        *columns: "ArrayLike",
        once: Mapping[int, float],
        budget: float | None,
    ) -> Self:
        """Take columns; legs that gain nothing are left out, since they never enter.

        Money is rounded to hundredths, so that what is kept can be compared.
        """
        key, place, gain, cost = (np.asarray(each) for each in columns)
        able = gain > 0
        places = np.unique(place[able]).tolist()
        return cls(
            key[able].astype(np.int64),
            place[able].astype(np.int64),
            gain[able].round(2),
            cost[able].round(2),
            {each: round(once[each], 2) for each in places},
            budget,
        )

    def short(self) -> dict[str, Any]:
        """Return it as plain lists."""
        once = [list(each) for each in self.once.items()]
        return {
            "columns": [each.tolist() for each in self._columns],
            "once": once,
            "budget": self.budget,
        }

    @classmethod
    def from_short(cls, short: Mapping[str, Any]) -> Self:
        """Return what `short` wrote down."""
        return cls.of(*short["columns"], once=dict(short["once"]), budget=short["budget"])

    def digest(self) -> str:
        """Return a name for these very numbers."""
        found = sha256(repr((sorted(self.once.items()), self.budget)).encode())
        for column in self._columns:
            found.update(np.ascontiguousarray(column).tobytes())
        return found.hexdigest()

    def problem(self) -> Problem:
        """Return it as a choice: legs of one property share its set-up."""
        columns = zip(*(each.tolist() for each in self._columns), strict=True)
        paid = {f"at:{place}": fixed for place, fixed in self.once.items()}
        return Problem(
            [
                Candidate(key, gain, Load(0.0, cost), (f"at:{place}",))
                for key, place, gain, cost in columns
            ],
            {name: Load(0.0, fixed) for name, fixed in paid.items()},
            0.0,
            self.budget,
            paid,
        )

    @property
    def _columns(self) -> tuple[Ints, Ints, Floats, Floats]:
        return self.key, self.place, self.gain, self.cost


def gains(
    ranked: Ranked, at: Ints, years: Floats, cost: Floats, money: Money, *, kept_percent: float
) -> Floats:
    """Return what renewing each of the legs at these places of a ranking gains, as `weigh` does.

    Raises:
        ValueError: one of them was not observed.
    """
    if not is_observed(ranked, at, years).all():
        raise ValueError("Expected legs that were observed")
    shape, behind, ordinary = ranked.yearly_of(at, years)
    return gain_of(money, shape / behind - ordinary * kept_percent / 100, cost)


def is_observed(ranked: Ranked, at: Ints, years: Floats) -> "np.ndarray[Any, Any]":
    """Return which of the legs at these places were observed long enough to expect anything."""
    found: np.ndarray[Any, Any] = (years > 0) & (ranked.expected[at] > 0)
    return found


def leg_known(
    ranked: Ranked, at: int, years: float, *, cost: float, kept_percent: float
) -> Leg | None:
    """Return what is known of the leg at a place of a ranking; None where it was not observed.

    Args:
        years: for which it was observed.
        cost: of the work on it, without what is shared.
        kept_percent: faults of a renewed leg, in percent of an ordinary one.
    """
    if not is_observed(ranked, np.array([at]), np.array([years]))[0]:
        return None
    known = ranked.yearly(at, years)
    renewed = known.ordinary * kept_percent / 100
    return Leg(known.shape, known.years_behind, cost, renewed_rate=renewed)
