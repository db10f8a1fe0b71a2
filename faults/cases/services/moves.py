"""Move stations of a fault from stage to stage: the table says what is legal, and for whom."""

from collections.abc import Callable, Sequence
from datetime import date, datetime

from django.db.models import Max
from django.utils.translation import gettext as _

from faults.access import roles_on
from faults.cases.engines.stages import (
    CLOSED,
    Move,
    Stage,
    find_move,
    least_advanced,
    needs_a_reason,
)
from faults.cases.services.after_mend import prove, return_to_central
from faults.cases.services.assign import end_assignments_of
from faults.cases.services.before_mend import agree, find, mend, reopen, schedule
from faults.cases.services.told import StageFacts, Step, UnableToMove
from faults.events import StageMoved, announce
from faults.models import STAGE_CHOICES, Fault, FaultStation, StageMove
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead
from sites.kernel.services.verbs import verb
from sites.models import User

STAGE_WORDS = dict(STAGE_CHOICES)
LONGEST_WHY = 200
# Stages in which the place is not known: a move to "found" from these ends its search.
SOUGHT = frozenset({Stage.REPORTED, Stage.SCHEDULED})

# What a move onward keeps, and the words about it that stand beside the move.
ONWARD: dict[Stage, Callable[[Step], str]] = {
    Stage.SCHEDULED: schedule,
    Stage.FOUND: find,
    Stage.AGREED: agree,
    Stage.MENDED: mend,
    Stage.PROVEN: prove,
    Stage.RETURNED: return_to_central,
}


@verb(
    name="move stations of a fault to another stage",
    action=Action.MOVE_FAULT,
    guard="the table of stages: the move is legal, the role may make it, and what it asks for is "
    "there; a day that has come, not before the station's last move",
    undo="the move back that the table of stages names; where it names none, a later stage holds",
)
def move_stations(
    *,
    fault: Fault,
    stations: Sequence[FaultStation],
    to: Stage,
    on: date,
    by: User,
    at: datetime,
    today: date,
    why: str = "",
    facts: StageFacts | None = None,
) -> None:
    """Move some stations of a fault at once, all for one reason.

    Args:
        facts: those that the stage requires, such as `Visit` for scheduled.

    Raises:
        UnableToMove: with what to do instead.
    """
    step = Step(fault, _reloaded(stations), to, on, by, at, today, why.strip(), facts)
    moves = [_legal(step, row) for row in step.rows]
    sought = [row for row in step.rows if to is not Stage.FOUND or row.stage in SOUGHT]
    _refuse_day(step)
    words = _guard(step, moves)
    for row in step.rows:
        _move(step, row, words)
    _keep_fault(step)
    announce(StageMoved(step.fault, sought, to, at, step.why))


def _reloaded(stations: Sequence[FaultStation]) -> list[FaultStation]:
    """Return the rows in the order in which people name them, with what each move reads."""
    if not stations:
        raise UnableToMove(_("Choose at least one station."), field="stations")
    return list(
        FaultStation.objects.filter(pk__in=[row.pk for row in stations])
        .select_related("station__controller__property")
        .order_by("station__controller__name", "station__number", "pk")
    )


def _legal(step: Step, row: FaultStation) -> Move:
    words = {
        "station": row.station,
        "start": STAGE_WORDS[row.stage],
        "end": STAGE_WORDS[step.to.value],
    }
    move = find_move(Stage(row.stage), step.to)
    if move is None or row.fault_id != step.fault.pk:
        raise UnableToMove(
            _(
                "%(station)s is %(start)s: no way leads from there to %(end)s. Open the fault "
                "again and choose one of its next steps."
            )
            % words,
            field="stations",
        )
    if move.roles.isdisjoint(roles_on(step.by, step.fault.property)):
        raise UnableToMove(
            _("Your role may not move %(station)s from %(start)s to %(end)s. These may: %(roles)s.")
            % {**words, "roles": ", ".join(sorted(role.value for role in move.roles))},
        )
    return move


def _refuse_day(step: Step) -> None:
    refuse_ahead(step.on, step.today, field="on")
    last = (
        StageMove.objects.filter(fault_station__in=step.rows, on__isnull=False)
        .order_by("-on")
        .values_list("on", flat=True)
        .first()
    )
    known = [day for day in (step.fault.reported_on, last) if day is not None]
    if step.on < max(known):
        raise UnableToMove(
            _("The fault's last step was on %s. This one was on that day or later.")
            % max(known).isoformat(),
            field="on",
        )


def _guard(step: Step, moves: Sequence[Move]) -> str:
    """Validate and store the facts of the moves; return what stands beside them."""
    backward = [move for move in moves if needs_a_reason(move)]
    if backward and not step.why:
        raise UnableToMove(_("Say in a few words why."), field="why")
    if step.to is Stage.REPORTED:
        reopen(step)
    onward = ONWARD.get(step.to) if len(backward) < len(moves) else None
    kept = onward(step) if onward else ""
    return "; ".join(dict.fromkeys(word for word in (kept, step.why) if word))[:LONGEST_WHY]


def _move(step: Step, row: FaultStation, words: str) -> None:
    start, row.stage = row.stage, step.to.value
    if step.to is not Stage.RETURNED:
        row.how_returned, row.accepted_by_client_on = "", None
        row.enable_asked_on = None
    row.save()
    StageMove.objects.create(
        fault_station=row,
        from_stage=start,
        to_stage=row.stage,
        on=step.on,
        moved_at=step.at,
        by=step.by,
        why=words,
    )


def _keep_fault(step: Step) -> None:
    """Show the least advanced stage, and the day on which the last open station closed."""
    fault = step.fault
    stages = fault.stations.order_by("pk").values_list("stage", flat=True)
    shown = least_advanced(Stage(stage) for stage in stages)
    fault.stage = shown.value
    fault.closed_on = last_move_on(fault) if shown in CLOSED else None
    fault.save()
    if fault.closed_on is not None:
        end_assignments_of(fault, on=fault.closed_on)


def last_move_on(fault: Fault) -> date | None:
    """Return the day of the fault's latest move, or None where no day is known."""
    moves = StageMove.objects.filter(fault_station__fault=fault)
    last: date | None = moves.aggregate(last=Max("on"))["last"]
    return last
