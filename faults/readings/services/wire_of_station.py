"""The wire that a distance is measured along, and the other one that closes its loop."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext

from faults.readings.engines.placing import Piece, total_ohms
from sites.kernel.services.verbs import UnableToAct
from sites.wires.engines.copper import WireSize
from sites.wires.engines.sizes import size_from_words
from sites.wires.services.expected import GROUND_C


class UnableToMeasure(UnableToAct):
    """The values give no distance on this wire; the message says what to check."""


@dataclass(frozen=True)
class WireOfStation:
    """What a method needs to know of the wire: its length, and the size of each part.

    `common_words` is the size of the wire that closes the loop: the common, or the sound wire that
    was taken; where nobody wrote it down it is taken as the hot. `changes_at_ft` from the
    controller the hot wire goes on in size `second_words`. `return_ft` is the other wire's
    length where it is not the same.
    """

    length_ft: float | None
    hot_words: str
    common_words: str
    ground_c: float = GROUND_C
    changes_at_ft: float | None = None
    second_words: str = ""
    return_ft: float | None = None
    is_from_valve: bool = False

    @property
    def run_ft(self) -> float:
        """The wire's length, one way."""
        if self.length_ft is None:
            raise UnableToMeasure(gettext("Type the length of this wire."), field="length")
        return self.length_ft

    @property
    def hot(self) -> WireSize:
        """The hot wire's size, from the controller on."""
        size = size_from_words(self.hot_words)
        if size is None:
            raise UnableToMeasure(
                gettext(
                    "The size of this station's wire is not registered, and this method computes "
                    "with its ohms: enter it with the wire, or with the station's wire size."
                ),
                field="hot_size",
            )
        return size

    @property
    def common(self) -> WireSize:
        """The size of the wire that closes the loop."""
        return size_from_words(self.common_words) or self.hot

    @property
    def is_common_known(self) -> bool:
        """Whether that size is known."""
        return size_from_words(self.common_words) is not None

    @property
    def hot_pieces(self) -> Sequence[Piece]:
        """The hot wire alone, from the end that is measured."""
        return self._pieces(0.0)

    @property
    def sound_pieces(self) -> Sequence[Piece]:
        """The wire that closes the loop."""
        return [Piece(self.return_ft or self.run_ft, self.common.ohms_per_kft(self.ground_c))]

    @property
    def pair(self) -> Sequence[Piece]:
        """Both together, per foot of run, from the end that is measured."""
        return self._pieces(self.common.ohms_per_kft(self.ground_c))

    @property
    def pair_to_scale(self) -> Sequence[Piece]:
        """Both together where a measured loop sets the scale: along one size any ohms do."""
        if self.changes_at_ft is None and size_from_words(self.hot_words) is None:
            return [Piece(self.run_ft, 1.0)]
        return self.pair

    @property
    def foot_of_pair(self) -> Sequence[Piece]:
        """One foot of both together, for a run whose length nobody knows."""
        if self.changes_at_ft is not None:
            raise UnableToMeasure(
                gettext(
                    "Where the size changes along the wire, its length must be known: type it."
                ),
                field="length",
            )
        both = self.hot.ohms_per_kft(self.ground_c) + self.common.ohms_per_kft(self.ground_c)
        return [Piece(1.0, both)]

    def loop_ohms(self, *, is_bridge: bool) -> float | None:
        """Return the loop by size and length, or None where one of them is not known."""
        if self.length_ft is None or size_from_words(self.hot_words) is None:
            return None
        if is_bridge:
            return total_ohms(self.hot_pieces) + total_ohms(self.sound_pieces)
        return total_ohms(self.pair)

    def _pieces(self, beside_per_kft: float) -> Sequence[Piece]:
        """The hot wire's pieces, each with so many more ohms per 1000 ft beside it."""
        first = self.hot.ohms_per_kft(self.ground_c) + beside_per_kft
        if self.changes_at_ft is None:
            return [Piece(self.run_ft, first)]
        second = size_from_words(self.second_words)
        if second is None:
            raise UnableToMeasure(
                gettext("Say in which size the wire goes on there."), field="second_size"
            )
        if not 0 < self.changes_at_ft < self.run_ft:
            raise UnableToMeasure(
                gettext("The size must change between the two ends of the wire."),
                field="changes_at",
            )
        pieces = [
            Piece(self.changes_at_ft, first),
            Piece(
                self.run_ft - self.changes_at_ft,
                second.ohms_per_kft(self.ground_c) + beside_per_kft,
            ),
        ]
        return pieces[::-1] if self.is_from_valve else pieces
