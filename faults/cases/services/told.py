"""The facts that each move of a station of a fault to another stage takes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from faults.cases.engines.consent import Limit
from faults.cases.engines.stages import HowReturned, Stage
from faults.models import Break, CauseSide, Fault, FaultStation, Job
from sites.kernel.services.verbs import UnableToAct
from sites.models import User


class UnableToMove(UnableToAct):
    """A move of stage that is not legal, not this user's to make, or lacks what it needs."""


@dataclass(frozen=True)
class Visit:
    """To scheduled: the day, and one person, or a job whose crew goes then."""

    who: User | None
    day: date
    job: Job | None = None


@dataclass(frozen=True)
class Finding:
    """To found, where it is no break: what it was, in words, and on which side it lies."""

    cause_outside: str = ""
    side: str = CauseSide.ELSEWHERE.value


@dataclass(frozen=True)
class Consent:
    """To agreed: who said yes, on which day, to how much; or what the client allows unasked."""

    given_by: str = ""
    given_on: date | None = None
    limit: Limit = field(default_factory=Limit)
    is_standing: bool = False


@dataclass(frozen=True)
class Mending:
    """To mended: how, and which of the fault's breaks were mended by it."""

    how: str
    breaks: Sequence[Break] = ()
    nothing_was_dug: bool = False


@dataclass(frozen=True)
class Measured:
    """What one station read: volts with its coil running, the rest off its terminal.

    On a two-wire path: volts or milliamperes at its decoder, with its coil running.
    """

    volts: float | None = None
    ohms: float | None = None
    megohms: float | None = None
    current_ma: float | None = None


@dataclass(frozen=True)
class Proving:
    """To proven: readings by the key of the station's row, the run, the valve.

    The run comes from central; at the clock where central does not reach the controller.
    """

    readings: Mapping[int, Measured]
    minutes_from_central: int | None = None
    valve_opened_and_shut: bool = False
    minutes_at_clock: int | None = None


@dataclass(frozen=True)
class Returning:
    """To returned: how, and the list that everybody goes through before leaving."""

    how: HowReturned
    accepted_by_client_on: date | None = None
    done: frozenset[str] = field(default_factory=frozenset)


RETURN_LIST = ("timer_out", "coil_in", "splices_sealed", "enabled_in_central")

StageFacts = Visit | Finding | Consent | Mending | Proving | Returning


@dataclass(frozen=True)
class Step:
    """One requested move of some stations of a fault."""

    fault: Fault
    rows: Sequence[FaultStation]
    to: Stage
    on: date
    by: User
    at: datetime
    today: date
    why: str = ""
    facts: StageFacts | None = None
