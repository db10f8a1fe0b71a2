"""The link that moves a group of stations on, by what they wait on."""

from collections.abc import Callable, Collection
from dataclasses import dataclass

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from faults.models import Fault
from faults.waits.engines.waits import WaitsOn
from faults.waits.queries.moves import MoveGroup, first_group, moves_for, waits_shown
from faults.waits.services.on_central import waits_on_central
from sites.kernel.access import actions_at, may
from sites.kernel.engines.roles import Action
from sites.models import Station, User


@dataclass(frozen=True)
class NextMove:
    """What the link says, and where it leads."""

    words: str
    url: str


def _of_fault(name: str, *more: str) -> Callable[[MoveGroup], str]:
    def url(group: MoveGroup) -> str:
        return reverse(name, args=[group.fault.ref, *more]) if group.fault else ""

    return url


def _report(group: MoveGroup) -> str:
    if group.count == 1 and group.stations:
        return reverse("faults:report_on_station", args=[group.stations[0].ref])
    return reverse("faults:report_on_property", args=[group.place.ref])


def _link(group: MoveGroup) -> str:
    clocks = {station.controller for station in group.stations}
    if len(clocks) == 1:
        return reverse("sites:controller_link", args=[clocks.pop().ref])
    return reverse("reports:property", args=[group.place.ref])


def _station(group: MoveGroup) -> str:
    if group.count == 1 and group.stations:
        return reverse("reports:station", args=[group.stations[0].ref])
    return reverse("reports:property", args=[group.place.ref])


def _homes(group: MoveGroup) -> str:
    return reverse("faults:homes_at", args=[group.place.ref])


def _send(group: MoveGroup) -> str:
    """The job is planned and lacks a day, or is not planned yet."""
    if group.job is not None:
        return reverse("faults:board_move", args=[group.job.ref])
    return _of_fault("faults:job_add_for_fault")(group)


def _board(group: MoveGroup) -> str:
    day = group.until.isoformat() if group.until else ""
    return f"{reverse('faults:board')}?day={day}"


def _job(group: MoveGroup) -> str:
    return reverse("faults:job", args=[group.job.ref]) if group.job else ""


def _answer(group: MoveGroup) -> str:
    return reverse("faults:answer", args=[group.question]) if group.question else ""


def _notice(group: MoveGroup) -> str:
    return reverse("faults:notice_answers", args=[group.notice]) if group.notice else ""


_NEXT: dict[WaitsOn, tuple[object, Action, Callable[[MoveGroup], str]]] = {
    WaitsOn.REPORT: (_("Report a fault"), Action.REPORT_FAULT, _report),
    WaitsOn.LINK: (_("Record the link"), Action.EDIT_REGISTER, _link),
    WaitsOn.CLIENTS_CHOICE: (_("See what stands in"), Action.SEE_REGISTER, _station),
    WaitsOn.VISIT: (_("Plan a visit"), Action.PLAN_JOBS, _send),
    WaitsOn.VISIT_DAY: (_("See the board"), Action.SEE_WORK, _board),
    WaitsOn.VISIT_RESULT: (
        _("Say what was found"),
        Action.MOVE_FAULT,
        _of_fault("faults:move", "found"),
    ),
    WaitsOn.ASK: (_("Ask the client"), Action.ASK_CLIENT, _of_fault("faults:ask")),
    WaitsOn.AGREE: (_("Enter the yes"), Action.MOVE_FAULT, _of_fault("faults:move", "agreed")),
    WaitsOn.ANSWER: (_("Enter the answer"), Action.ASK_CLIENT, _answer),
    WaitsOn.REFUSED: (_("Choose another way"), Action.SEE_FAULTS, _of_fault("faults:fault")),
    WaitsOn.NOTICE: (_("Give notice"), Action.GIVE_NOTICE, _of_fault("faults:notice_give")),
    WaitsOn.NOTICE_CLEAR: (_("Enter who has answered"), Action.GIVE_NOTICE, _notice),
    WaitsOn.DIG: (_("Plan a dig"), Action.PLAN_JOBS, _send),
    WaitsOn.DIG_DAY: (_("See the board"), Action.SEE_WORK, _board),
    WaitsOn.MEND_RESULT: (
        _("Say how it was mended"),
        Action.MOVE_FAULT,
        _of_fault("faults:move", "mended"),
    ),
    WaitsOn.WEATHER: (_("Open the job"), Action.SEE_WORK, _job),
    WaitsOn.PARTS: (_("Open the job"), Action.SEE_WORK, _job),
    WaitsOn.ACCESS: (_("Open the job"), Action.SEE_WORK, _job),
    WaitsOn.PROOF: (_("Prove it"), Action.MOVE_FAULT, _of_fault("faults:move", "proven")),
    WaitsOn.ENABLE: (
        _("Return to central"),
        Action.MOVE_FAULT,
        _of_fault("faults:move", "returned"),
    ),
    WaitsOn.RETURN: (
        _("Return to central"),
        Action.MOVE_FAULT,
        _of_fault("faults:move", "returned"),
    ),
    WaitsOn.AFTER_RETURN: (_("End the stopgap"), Action.CHANGE_STOPGAPS, _station),
    WaitsOn.GIVEN_UP: (_("Choose another way"), Action.SEE_FAULTS, _of_fault("faults:fault")),
    WaitsOn.BRING_HOME: (_("Bring it home"), Action.SEE_WORK, _homes),
}


def next_move(group: MoveGroup, allowed: Collection[Action]) -> NextMove:
    """Return the link for a user with these actions; the fault's page where it is not theirs."""
    words, action, where = _NEXT[WaitsOn(group.waits_on)]
    url = where(group) if action in allowed else ""
    if url:
        return NextMove(str(words), url)
    if group.fault is not None:
        return NextMove(str(_("Open the fault")), reverse("faults:fault", args=[group.fault.ref]))
    return NextMove(str(_("See what stands in")), _station(group))


def moving_on(
    user: User, of: Fault | Station, *, here: str, on_central: bool = False
) -> dict[str, object]:
    """Return what waits and the link that moves it on, as the list of moves gives them: ours first.

    Args:
        user: who would follow it; of what is not theirs to see nothing is said.
        of: all stations of a fault, or one.
        here: the address of the page that asks; a link to itself is left out.
        on_central: whether stations of the fault that run from central are looked at too.

    Returns:
        `first_wait` and `next` for a template, or neither.
    """
    waits = moves_for(user)
    waits = waits.filter(fault=of) if isinstance(of, Fault) else waits.filter(station=of)
    rows = waits_shown(waits)
    if on_central and isinstance(of, Fault) and may(user, Action.SEE_WORK, of.property):
        rows += waits_on_central([of], at=timezone.now())
    group = first_group(rows)
    if group is None:
        return {}
    move = next_move(group, actions_at(user, group.place))
    return {"first_wait": group, "next": None if move.url == here else move}
