"""Take back a break that was recorded by mistake, unless something was built on it.

What lies above this room (quotes, jobs, claims, reports) is asked through
`ask_before_taking_back`, because this room cannot see it.
"""

from collections.abc import Callable, Collection, Sequence
from datetime import date, datetime

from django.utils.translation import gettext as _

from faults.cases.engines.stages import Stage, find_move
from faults.cases.services.before_mend import visit_that_stands
from faults.cases.services.break_rules import side_of
from faults.cases.services.moves import SOUGHT, STAGE_WORDS, move_stations
from faults.events import BreakTakenBack, announce
from faults.models import Break, Fault, FaultStation
from faults.models.fault import OUTSIDE
from sites.kernel.engines.roles import Action, Role
from sites.kernel.services.verb_days import LONGEST_REASON, save_because, was_wrong
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import User

PAST_FOUND = tuple(
    stage.value for stage in (Stage.AGREED, Stage.MENDED, Stage.PROVEN, Stage.RETURNED)
)
# Given a break, and whether its fault is found without it, returns what was built on it, in words.
Check = Callable[[Break, bool], Sequence[str]]
_checks: list[Check] = []


class UnableToTakeBackBreak(UnableToAct):
    """Something was built on the break."""


def ask_before_taking_back(check: Check) -> None:
    """Register what a room above knows of a break; called in order of registering."""
    if check not in _checks:
        _checks.append(check)


@verb(
    name="take back a break",
    action=Action.RECORD_BREAK,
    guard="nothing was built on it: no mend, no yes, no standing quote for what was found, no "
    "planned dig, no claim, no issued report that lists it; stations that only it let be found go "
    "back by the table of stages, by who may move them so; why, in words",
    undo="record a break",
)
def take_back_break(*, one: Break, why: str, by: User, at: datetime, today: date) -> None:
    """Let a break be as if it had never been recorded; history keeps what it said.

    Stations that were found by it alone go back to where they were, searches that it ended go on,
    and its photos stay with the fault.

    Raises:
        UnableToTakeBackBreak: with what was built on it.
        UnableToMove: stations would have to go back, and the user's role may not move them.
    """
    reason, fault = was_wrong(why), one.fault
    fault.cause_side = _side_without(one)
    stays_found = _is_found_besides(one, fault.cause_side)
    _refuse_built_on(one, stays_found)
    # The page of the fault shows the fault's history: it is read there afterwards.
    named = {"number": one.running_number, "break": one, "why": why.strip()}
    save_because(fault, _("break %(number)s (%(break)s) taken back: %(why)s") % named)
    for photo in one.photos.order_by("pk"):
        photo.of_break = None
        save_because(photo, reason)
    if not stays_found:
        _send_back(fault, why.strip(), by=by, at=at, today=today)
    announce(BreakTakenBack(fault, one, stays_found, why.strip()))
    # What a row of the history does not hold: which wires it was on.
    wires = ", ".join(sorted(str(wire) for wire in one.wires.all()))
    one._change_reason = f"{reason} ({wires})"[:LONGEST_REASON]  # type: ignore[attr-defined]
    one.delete()


def may_take_back(one: Break, roles: Collection[Role]) -> bool:
    """Return whether these roles may move back what stands as found by this break alone."""
    is_found = one.fault.stations.filter(stage=Stage.FOUND.value).exists()
    back = find_move(Stage.FOUND, Stage.SCHEDULED)
    may_move = back is not None and not back.roles.isdisjoint(roles)
    return may_move or not is_found or _is_found_besides(one, _side_without(one))


def _is_found_besides(one: Break, side: str) -> bool:
    """Whether the fault is found without this break: by another one, or outside the wire."""
    return side in OUTSIDE or one.fault.breaks.exclude(pk=one.pk).exists()


def recorded_at(one: Break) -> datetime:
    """Return when a break was recorded."""
    first: datetime = one.history.earliest("history_date", "history_id").history_date
    return first


def _side_without(one: Break) -> str:
    """Return on which side of the cause the fault would stand if this break were not there.

    That of the last break that says one, else what the fault said before any was recorded. What
    was said otherwise since, by hand, stays.
    """
    fault = one.fault
    if not (side := side_of(one)) or side != fault.cause_side:
        return fault.cause_side
    others = fault.breaks.exclude(pk=one.pk).order_by("-running_number")
    if said := next((each for other in others if (each := side_of(other))), ""):
        return said
    before = fault.history.filter(history_date__lt=recorded_at(one))
    last = before.order_by("-history_date", "-history_id").first()
    return last.cause_side if last is not None else ""


def _refuse_built_on(one: Break, stays_found: bool) -> None:
    built = []
    if one.mended_on is not None:
        built.append(_("its mend of %s") % one.mended_on.isoformat())
    if not stays_found:
        past = one.fault.stations.filter(stage__in=PAST_FOUND).select_related("station__controller")
        built += [
            f"{row.station}: {STAGE_WORDS[row.stage]}"
            for row in past.order_by("station__controller__name", "station__number", "pk")
        ]
    built += [words for check in _checks for words in check(one, stays_found)]
    if built:
        raise UnableToTakeBackBreak(
            _(
                "This was built on the break since: %s. Take that back first, or correct the "
                "break instead."
            )
            % "; ".join(built)
        )


def _send_back(fault: Fault, why: str, *, by: User, at: datetime, today: date) -> None:
    """Move what only this break let be found to where it was, one legal move after the other."""
    found = list(fault.stations.filter(stage=Stage.FOUND.value).order_by("pk"))
    if not found:
        return

    def move(rows: Sequence[FaultStation], to: Stage) -> None:
        move_stations(
            fault=fault, stations=rows, to=to, on=today, by=by, at=at, today=today, why=why
        )

    move(found, Stage.SCHEDULED)
    # A station that a crew is sent to stays scheduled.
    reported = [
        row
        for row in found
        if _came_from(row) == Stage.REPORTED and visit_that_stands(fault, [row.station_id]) is None
    ]
    if reported:
        move(reported, Stage.REPORTED)


def _came_from(row: FaultStation) -> str:
    """Return the stage in which a station was when it was found."""
    moves = row.moves.filter(to_stage=Stage.FOUND.value, from_stage__in=SOUGHT)
    last = moves.order_by("-moved_at", "-pk").first()
    return last.from_stage if last is not None else Stage.SCHEDULED.value
