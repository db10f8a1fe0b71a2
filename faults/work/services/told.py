"""The facts of a job as its verbs take them, and the errors of those verbs."""

from dataclasses import dataclass, field, fields
from datetime import date
from decimal import Decimal

from faults.models import Job
from faults.work.engines.safety import Situation
from sites.kernel.services.verbs import UnableToAct


class UnableToPlan(UnableToAct):
    """The job cannot be planned, changed, split or withdrawn so."""


class UnableToSend(UnableToAct):
    """The crew cannot be sent so: another crew or day, or unlock first."""


class UnableToWork(UnableToAct):
    """The job cannot be started, held or finished so."""


class UnableToBook(UnableToAct):
    """The line cannot be kept so."""


class UnableToAddJobPhoto(UnableToAct):
    """The job takes no further photo."""


@dataclass(frozen=True)
class JobFacts:
    """What a job needs: minutes, skill, days, gear. Crew and day come with assigning it."""

    expected_minutes: int
    skill_needed: int = 1
    people_needed: int = 1
    priority: int = 2
    earliest_on: date | None = None
    due_on: date | None = None
    equipment: str = ""
    parts_needed: str = ""
    planned_depth_in: float | None = None
    situations: tuple[Situation, ...] = field(default=())
    notes: str = ""

    @classmethod
    def names(cls) -> list[str]:
        """Return the names of the facts that a job stores unchanged."""
        return [each.name for each in fields(cls) if each.name != "situations"]


def facts_of(job: Job) -> JobFacts:
    """Return the facts of a job as they are now."""
    known = {situation.value for situation in Situation}
    around = tuple(Situation(word) for word in job.situations if word in known)
    known_facts = {name: getattr(job, name) for name in JobFacts.names()}
    return JobFacts(**known_facts, situations=around)


@dataclass(frozen=True)
class LineFacts:
    """What one line of a job says.

    Args:
        charge: what was done, by which it is priced; empty where nobody says it.
        price_by_rate: take the property's rate of that day; who may not see prices says so.
    """

    kind: str
    basis: str
    on: date
    what: str
    quantity: Decimal
    unit: str
    unit_price: Decimal | None = None
    charge: str = ""
    price_by_rate: bool = False
