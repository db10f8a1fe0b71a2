"""Places along a leg that is split at a newly found point, and along the leg made whole again.

A place keeps the end of the leg from which its feet were taken: what was measured back from the
far box is still measured from there, or from the new box where that lies between.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Mark:
    """Feet along a leg from its first end, or from its second where `from_second` is true."""

    feet: float
    from_second: bool = False

    def from_first_end(self, length_ft: float) -> float:
        """Return the feet along a leg of this length from its first end."""
        return length_ft - self.feet if self.from_second else self.feet


@dataclass(frozen=True, slots=True)
class Split:
    """A leg of two parts: the new point lies `first_ft` from its first end.

    Raises:
        ValueError: a part has no length.
    """

    first_ft: float
    second_ft: float

    def __post_init__(self) -> None:
        if self.first_ft <= 0 or self.second_ft <= 0:
            raise ValueError(
                f"Expected two parts of some length, got {self.first_ft} and {self.second_ft}"
            )

    @classmethod
    def at(cls, mark: Mark, *, length_ft: float) -> "Split":
        """Return the split of a leg at a place strictly inside it."""
        if not 0 < mark.feet < length_ft:
            raise ValueError(f"Expected a place inside {length_ft} ft, got {mark.feet}")
        rest = length_ft - mark.feet
        return cls(rest, mark.feet) if mark.from_second else cls(mark.feet, rest)

    def part_of(self, mark: Mark) -> tuple[int, Mark]:
        """Return in which part (0 or 1) a place of the whole lies, and where in it.

        A place at the new point itself belongs to the first part.
        """
        along = mark.from_first_end(self.first_ft + self.second_ft)
        part = 0 if along <= self.first_ft else 1
        return part, Mark(max(0.0, mark.feet - self._before(part, mark)), mark.from_second)

    def whole_of(self, part: int, mark: Mark) -> Mark:
        """Return where in the whole a place of one part lies; undoes `part_of`."""
        return Mark(mark.feet + self._before(part, mark), mark.from_second)

    def _before(self, part: int, mark: Mark) -> float:
        """Feet of the other part between the end measured from and this part."""
        if mark.from_second:
            return self.second_ft if part == 0 else 0.0
        return self.first_ft if part == 1 else 0.0
