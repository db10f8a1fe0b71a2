"""What happens in one room of this app and is answered in others, as plain data.

A room that is lower in the order cannot import those above it, so it announces what happened.
`faults.follows` lists, in order, what each event sets off, in the transaction of its verb.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from faults.cases.engines.stages import Stage
from faults.models import Break, Fault, FaultStation, Quote
from sites.models import User


@dataclass(frozen=True)
class StageMoved:
    """Stations of a fault have moved to a stage; `stations` are those that were still sought."""

    fault: Fault
    stations: Sequence[FaultStation]
    to: Stage
    at: datetime
    why: str


@dataclass(frozen=True)
class BreakTakenBack:
    """A break is about to go as if it had never been recorded.

    `stays_found`: the fault is found without it, by another break or a cause outside the wire.
    """

    fault: Fault
    one: Break
    stays_found: bool
    why: str


@dataclass(frozen=True)
class ClientSaid:
    """A client said something of a fault that asks for somebody in the office."""

    fault: Fault
    words: str
    by: User
    today: date


@dataclass(frozen=True)
class QuoteSent:
    """A quote has a new private address: its client is asked, or asked again."""

    quote: Quote
    by: User
    today: date


@dataclass(frozen=True)
class QuoteMailed:
    """A quote goes to a client by mail; `address` is the private one at which it is answered."""

    quote: Quote
    mail_to: str
    address: str
    language: str
    at: datetime


@dataclass(frozen=True)
class SearchTime:
    """How long the search of a fault takes, in whole minutes: the mean, and what nine of ten
    searches end under."""

    expected: int
    nine_of_ten: int


@dataclass(frozen=True)
class SearchTimeAsked:
    """A room below the search asks how long the one of this fault takes."""

    fault: Fault
    today: date


Event = StageMoved | BreakTakenBack | ClientSaid | QuoteSent | QuoteMailed
Follows = Mapping[type[Event], Sequence[Callable[[Any], None]]]
_follows: Follows = {}
_answer: Callable[[SearchTimeAsked], SearchTime | None] | None = None


def listen(follows: Follows) -> None:
    """Set what each event sets off. Called once, when the app is ready."""
    global _follows
    _follows = follows


def listen_to_questions(answer: Callable[[SearchTimeAsked], SearchTime | None]) -> None:
    """Set who answers. Called once, when the app is ready."""
    global _answer
    _answer = answer


def ask(question: SearchTimeAsked) -> SearchTime | None:
    """Return the answer of the room above; None = it does not know."""
    return _answer(question) if _answer is not None else None


def announce(event: Event) -> None:
    """Do all that follows, in order.

    Raises:
        KeyError: nobody listed what follows from this event.
    """
    for follow in _follows[type(event)]:
        follow(event)
