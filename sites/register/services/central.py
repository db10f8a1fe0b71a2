"""Verbs on the link between central control and a controller."""

from datetime import date

from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because, was_wrong
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Central, CentralState, Controller


class UnableToChangeLink(UnableToAct):
    """A state of the link that cannot be so."""


def last_state(controller: Controller) -> CentralState | None:
    """Return the state that holds now."""
    return controller.states.open().order_by("pk").first()


@verb(
    name="change the central link",
    action=Action.EDIT_REGISTER,
    guard="another state than now; a day that has come, and later than the first day of the state "
    "that holds now",
    undo="correct the central link",
)
def change_link(
    *,
    controller: Controller,
    state: str,
    on: date,
    today: date,
    is_exact: bool = True,
    notes: str = "",
) -> CentralState:
    """Let another state hold from a day on: link lost, restored, meant to be linked or not."""
    refuse_ahead(on, today, field="on")
    now = last_state(controller)
    if state == (now.state if now else controller.central):
        raise UnableToChangeLink(
            _("This is the state that holds now. If its first day is wrong, correct that."),
            field="state",
        )
    if now is not None and now.from_on is not None and on <= now.from_on:
        raise UnableToChangeLink(
            _("'%(state)s' holds since %(day)s. Give a later day, or correct that state.")
            % {"state": now.get_state_display(), "day": now.from_on.isoformat()},
            field="on",
        )
    _end(controller, now, on)
    made = CentralState.objects.create(
        controller=controller, state=state, from_on=on, from_is_exact=is_exact, notes=notes
    )
    _follow(controller, state)
    return made


@verb(
    name="correct the central link",
    action=Action.EDIT_REGISTER,
    guard="what was wrong, in words; a first day that has come and lies after that of the state "
    "before; a lost link has a first day",
    undo="correct the central link again, with the values that its history shows",
)
def correct_link(
    *,
    controller: Controller,
    state: str,
    on: date | None,
    why: str,
    today: date,
    is_exact: bool = True,
    notes: str = "",
) -> None:
    """Correct the state that holds now, or its first day; the one before ends on that day."""
    reason = was_wrong(why)
    refuse_ahead(on, today, field="on")
    now = last_state(controller) or CentralState(controller=controller)
    before = _state_before(controller)
    _refuse_first_day(state, on, now, before)
    rows = [now]
    if before is not None and now.from_on is not None and before.to_on == now.from_on != on:
        # The one that shrinks goes first: no day may lie in two states even for a moment.
        rows = [before, now] if on is not None and on < now.from_on else [now, before]
        before.to_on = on
    now.state, now.from_on, now.from_is_exact, now.notes = state, on, is_exact, notes
    for row in rows:
        save_because(row, reason)
    _follow(controller, state)


def _state_before(controller: Controller) -> CentralState | None:
    ended = controller.states.filter(to_on__isnull=False)
    return ended.order_by("-to_on", "-pk").first()


def _refuse_first_day(
    state: str, on: date | None, now: CentralState, before: CentralState | None
) -> None:
    if on is None and (state == Central.LINK_LOST or before is not None):
        raise UnableToChangeLink(
            _("Enter its first day: a lost link needs one, and so does a state after another."),
            field="on",
        )
    if before is None or on is None or before.to_on is None:
        return
    is_touching = before.to_on == now.from_on
    if is_touching and before.from_on is not None and on <= before.from_on:
        raise UnableToChangeLink(
            _("The state before, '%(state)s', began on %(day)s. Give a later day.")
            % {"state": before.get_state_display(), "day": before.from_on.isoformat()},
            field="on",
        )
    if not is_touching and on < before.to_on:
        _refuse_taken(before)


def _refuse_taken(before: CentralState) -> None:
    raise UnableToChangeLink(
        _("'%(state)s' lasted until %(day)s. Give that day or a later one.")
        % {
            "state": before.get_state_display(),
            "day": before.to_on.isoformat() if before.to_on else "",
        },
        field="on",
    )


def _end(controller: Controller, now: CentralState | None, on: date) -> None:
    """End what held until now; what was only a word of the controller becomes a state of days."""
    before = _state_before(controller)
    if now is not None:
        now.to_on = on
        now.save()
    elif before is not None and before.to_on is not None and on < before.to_on:
        _refuse_taken(before)
    elif before is None and controller.central != Central.LINK_LOST:
        CentralState.objects.create(
            controller=controller, state=controller.central, from_on=None, to_on=on
        )


def _follow(controller: Controller, state: str) -> None:
    if controller.central != state:
        controller.central = state
        controller.save()
