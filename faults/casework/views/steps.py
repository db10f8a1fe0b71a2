"""The next steps that a fault's page offers to this user, for each station and for all."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.text import slugify

from faults.cases.engines.stages import Move, Stage, needs_a_reason, next_moves
from faults.casework.views.moves import BACK_WORDS, STEP_WORDS
from faults.models import Fault, FaultStation
from sites.kernel.engines.roles import Role


@dataclass(frozen=True)
class Offer:
    """A link to one step; onward, or back and away, for which a reason is asked."""

    url: str
    words: str
    is_onward: bool


def offers_of(
    fault: Fault, rows: Sequence[FaultStation], roles: set[Role]
) -> tuple[list[Offer], list[tuple[FaultStation, list[Offer]]]]:
    """Return the steps that several stations can take at once, and those of each station."""
    by_row = [(row, next_moves(Stage(row.stage), roles)) for row in rows]
    shared: dict[Stage, Move] = {}
    for _row, moves in by_row:
        for move in moves:
            known = shared.get(move.end)
            # A page offers stations onward or back, never both: onward goes before.
            shared[move.end] = move if known is None or needs_a_reason(known) else known
    together = sorted(shared.values(), key=lambda move: (needs_a_reason(move), _order(move)))
    return (
        [_offer(fault, move) for move in together],
        [(row, [_offer(fault, move, row) for move in moves]) for row, moves in by_row],
    )


def _order(move: Move) -> int:
    return list(Stage).index(move.end)


def _offer(fault: Fault, move: Move, row: FaultStation | None = None) -> Offer:
    url = reverse("faults:move", args=[fault.ref, slugify(move.end.value)])
    words = BACK_WORDS.get(move.end) if needs_a_reason(move) else None
    named = f"?station={row.station.ref}" if row is not None else ""
    return Offer(
        url + named, str(words or STEP_WORDS[move.end]), is_onward=not needs_a_reason(move)
    )
