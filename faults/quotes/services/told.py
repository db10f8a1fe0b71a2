"""What a quote is made from, and why it is refused."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from faults.models import FaultPhoto
from faults.quotes.engines.quoting import OptionKind, Work
from faults.work.engines.digging import Ground, Hole
from sites.kernel.services.verbs import UnableToAct


class UnableToQuote(UnableToAct):
    """A quote that cannot be made, sent or answered so."""


@dataclass(frozen=True)
class QuoteFacts:
    """All that a quote is made from. `kept` is what was filled in, to make the next version."""

    options: frozenset[OptionKind]
    work: Work
    valid_until: date
    found: str = ""
    hole: Hole | None = None
    ground: Ground | None = None
    search_min: tuple[float, float] | None = None
    photos: tuple[FaultPhoto, ...] = ()
    kept: Mapping[str, Any] = field(default_factory=dict)
