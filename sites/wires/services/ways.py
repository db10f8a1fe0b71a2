"""The way of a wire in words: its points in order, one a line, and back.

An empty line starts a branch; a branch begins at a point named above it. Where several legs join
the same two points, a line between them names the leg by its label.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from sites.kernel.services.verbs import UnableToAct
from sites.models import Leg, Point


class UnableToReadWay(UnableToAct):
    """A line names nothing here, or two lines that follow each other are not joined."""


def read_way(text: str, *, legs: Iterable[Leg]) -> list[Leg]:
    """Return the legs of a way, in order of walking.

    Args:
        text: as people write it.
        legs: the property's legs in the ground, with their points.

    Raises:
        UnableToReadWay: with the line that does not fit.
    """
    reader = _Reader(list(legs))
    for line in text.splitlines():
        reader.take(" ".join(line.split()))
    reader.finish()
    return reader.way


def way_in_words(legs: Sequence[Leg], *, start: Point | None, among: Sequence[Leg] = ()) -> str:
    """Return the text that `read_way` reads as these legs; pieces that do not join stand apart.

    Args:
        start: where to begin, if the legs come there.
        among: the property's legs, which tell where a leg must be named by its label.
    """
    left = {leg.pk: leg for leg in legs}
    twins = Counter(frozenset(_ends(leg)) for leg in (among or legs))
    branches: list[list[str]] = []
    begin = start
    reached: list[Point] = []
    while left:
        here = begin if begin is not None and _next(left, begin) else _any_start(left, reached)
        begin = None
        branches.append(_walk(left, here, reached, twins))
    return "\n\n".join("\n".join(branch) for branch in branches)


@dataclass
class _Reader:
    legs: list[Leg]
    way: list[Leg] = field(default_factory=list)
    here: Point | None = None
    by_label: Leg | None = None
    known: set[int] = field(default_factory=set)

    def take(self, word: str) -> None:
        if not word:
            self.finish()
            self.here = None
            return
        point = self._point(word)
        if point is not None:
            self._go_to(point)
        elif leg := self._leg(word):
            self.finish()
            self.by_label = leg
        else:
            raise UnableToReadWay(
                _("There is no point or leg in the ground here that is called “%s”.") % word,
                field="way",
            )

    def finish(self) -> None:
        """A label at the end of a branch, or alone, names a whole leg."""
        if self.by_label is not None:
            leg, self.by_label = self.by_label, None
            self._add(leg)

    def _go_to(self, point: Point) -> None:
        if self.by_label is not None:
            self._refuse_apart(self.by_label, point)
            self.finish()
        elif self.here is None:
            self._begin_at(point)
        else:
            self._add(self._between(self.here, point))
        self.here = point

    def _refuse_apart(self, leg: Leg, point: Point) -> None:
        named = {point.pk} | ({self.here.pk} if self.here else set())
        if not named <= _ends(leg):
            raise UnableToReadWay(
                _("Leg %(leg)s does not lead to %(point)s.") % {"leg": leg, "point": point},
                field="way",
            )

    def _begin_at(self, point: Point) -> None:
        if self.way and point.pk not in self.known:
            raise UnableToReadWay(
                _("A branch begins at a point named above it; %s is not.") % point, field="way"
            )

    def _between(self, start: Point, end: Point) -> Leg:
        found = [leg for leg in self.legs if _ends(leg) == {start.pk, end.pk}]
        if len(found) == 1:
            return found[0]
        words = {"start": start, "end": end}
        if not found:
            raise UnableToReadWay(
                _("No leg joins %(start)s and %(end)s. Name the points between, or add the leg.")
                % words,
                field="way",
            )
        raise UnableToReadWay(
            _("Several legs join %(start)s and %(end)s. Write the leg's label between the two.")
            % words,
            field="way",
        )

    def _add(self, leg: Leg) -> None:
        touches = self.known | ({self.here.pk} if self.here else set())
        if touches and not _ends(leg) & touches:
            raise UnableToReadWay(
                _("Leg %s does not join what is named before it.") % leg, field="way"
            )
        if leg not in self.way:
            self.way.append(leg)
        self.known |= _ends(leg)

    def _point(self, word: str) -> Point | None:
        points = (point for leg in self.legs for point in (leg.from_point, leg.to_point))
        return next((point for point in points if point.name.casefold() == word.casefold()), None)

    def _leg(self, word: str) -> Leg | None:
        return next((leg for leg in self.legs if leg.label.casefold() == word.casefold()), None)


def _ends(leg: Leg) -> set[int]:
    return {leg.from_point_id, leg.to_point_id}


def _next(left: dict[int, Leg], here: Point) -> Leg | None:
    return next((leg for leg in left.values() if here.pk in _ends(leg)), None)


def _any_start(left: dict[int, Leg], reached: list[Point]) -> Point:
    return next((p for p in reached if _next(left, p)), next(iter(left.values())).from_point)


def _walk(
    left: dict[int, Leg], here: Point, reached: list[Point], twins: Counter[frozenset[int]]
) -> list[str]:
    """Follow the legs from a point until none is left there, naming what is needed."""
    words = [here.name]
    reached.append(here)
    while leg := _next(left, here):
        del left[leg.pk]
        if twins[frozenset(_ends(leg))] > 1 and leg.label:
            words.append(leg.label)
        here = leg.to_point if leg.from_point_id == here.pk else leg.from_point
        words.append(here.name)
        reached.append(here)
    return words
