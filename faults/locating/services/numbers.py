"""The numbers that searches assume: the built-in ones, and where the company set its own."""

from dataclasses import dataclass, fields, replace

from django.utils.translation import gettext as _

from faults.locating.engines.assumptions import STATUS, Assumptions, UnusableAssumptions
from faults.locating.engines.surroundings import Surroundings
from faults.models import LearnedNumber, SearchNumber
from faults.readings.engines.loop_numbers import LoopNumbers, UnusableLoopNumbers
from faults.readings.services.loop_numbers import OF_LOOPS
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb

OF_TESTS = tuple(each.name for each in fields(Assumptions))
OF_GROUND = tuple(each.name for each in fields(Surroundings))


class UnableToSetNumber(UnableToAct):
    """The number is not one of ours, or makes the model contradict itself."""


@dataclass(frozen=True)
class Assumed:
    """All numbers in force: those of tests and plan, and those of cover and conduit."""

    tests: Assumptions
    ground: Surroundings


@dataclass(frozen=True)
class NumberLine:
    """One number: what is built in, what is in force, and what it rests on."""

    name: str
    built_in: float
    value: float
    status: str
    own: SearchNumber | None
    learned: LearnedNumber | None = None

    @property
    def value_words(self) -> str:
        """The number in force, without digits that nobody means."""
        return f"{self.value:g}"

    @property
    def built_in_words(self) -> str:
        """The built-in number."""
        return f"{self.built_in:g}"

    @property
    def learned_words(self) -> str:
        """What own finished searches say, where they say anything."""
        return "" if self.learned is None else f"{self.learned.learned:.3g}"


def assumed_now() -> Assumed:
    """Return the numbers in force. A row that no longer fits is left out, never a page broken."""
    own = dict(SearchNumber.objects.values_list("name", "value"))
    try:
        return _with(own)
    except UnusableAssumptions:
        return Assumed(Assumptions(), Surroundings())


def number_lines() -> list[NumberLine]:
    """Return every number, in the order of the engine."""
    own = {each.name: each for each in SearchNumber.objects.all()}
    learned = {each.name: each for each in LearnedNumber.objects.all()}
    lines: list[NumberLine] = []
    for kind in (Assumptions, Surroundings, LoopNumbers):
        for each in fields(kind):
            # What searches and bring-home tests share stands once.
            if any(line.name == each.name for line in lines):
                continue
            built_in = getattr(kind(), each.name)
            row = own.get(each.name)
            value = row.value if row else built_in
            lines.append(
                NumberLine(
                    each.name,
                    built_in,
                    value,
                    STATUS.get(each.name, ""),
                    row,
                    learned.get(each.name),
                )
            )
    return lines


@verb(
    name="set a number that searches assume",
    action=Action.SET_UP_WORK,
    guard="a number of the model, in its range and in keeping with the others; where it comes from",
    undo="let a search assume the built-in number again",
)
def set_number(*, name: str, value: float, source: str) -> SearchNumber:
    """Put the company's own number in the place of the built-in one."""
    if name not in OF_TESTS + OF_GROUND + OF_LOOPS:
        raise UnableToSetNumber(_("Searches assume no number of this name."))
    if not source.strip():
        raise UnableToSetNumber(
            _("Say where the number comes from: own records, a course, a guess."), field="source"
        )
    own = dict(SearchNumber.objects.values_list("name", "value"))
    try:
        _with(own | {name: value})
        LoopNumbers(**{key: each for key, each in {**own, name: value}.items() if key in OF_LOOPS})
    except (UnusableAssumptions, UnusableLoopNumbers) as problem:
        raise UnableToSetNumber(
            _("This number cannot be used: it leaves its range, or contradicts the others. (%s)")
            % problem,
            field="value",
        ) from problem
    row = SearchNumber.objects.filter(name=name).first() or SearchNumber(name=name)
    row.value, row.source = value, source.strip()
    row.save()
    return row


@verb(
    name="let a search assume the built-in number again",
    action=Action.SET_UP_WORK,
    guard="the company has set a number of its own",
    undo="set a number that searches assume",
)
def forget_number(*, name: str) -> None:
    """Take the company's own number away; its history stays."""
    row = SearchNumber.objects.filter(name=name).first()
    if row is None:
        raise UnableToSetNumber(_("The built-in number is in force already."))
    row.delete()


def _with(own: dict[str, float]) -> Assumed:
    def part(names: tuple[str, ...]) -> dict[str, float]:
        return {name: value for name, value in own.items() if name in names}

    return Assumed(
        replace(Assumptions(), **part(OF_TESTS)), replace(Surroundings(), **part(OF_GROUND))
    )
