"""Verbs of people on what falls due: note it, do it, move it, hand it over, open it again."""

from datetime import date

from django.utils.translation import gettext as _

from faults.access import handlers_on
from faults.events import ClientSaid, QuoteSent
from faults.models import Fault, FollowUp, FollowUpKind, FollowUpState, Job
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Controller, Property, Station, User

# As far as what is to be done goes.
LONGEST_NOTE = 200


class UnableToNote(UnableToAct):
    """It cannot be noted so."""


class UnableToFinish(UnableToAct):
    """It cannot be ticked as done."""


class UnableToMoveFollowUp(UnableToAct):
    """It cannot be moved to that day."""


class UnableToPutBack(UnableToAct):
    """It was not moved, or something else was changed after that."""


class UnableToHandOver(UnableToAct):
    """It cannot be handed to that person."""


class UnableToReopen(UnableToAct):
    """It cannot be opened again."""


@verb(
    name="note something to do",
    action=Action.HANDLE_FOLLOW_UPS,
    guard="it says what; a day that is today or later; the person who gets it may do it here",
    undo="finish what is due",
)
def raise_by_hand(
    *,
    place: Property,
    what: str,
    due_on: date,
    by: User,
    today: date,
    station: Station | None = None,
    controller: Controller | None = None,
    fault: Fault | None = None,
    job: Job | None = None,
    handed_to: User | None = None,
    cause: str = "",
) -> FollowUp:
    """Note something to do on a day, at a property or at one thing of it.

    Args:
        cause: what made it due, "word:key", where another room lets it go again (`kept_by`).
    """
    words = " ".join(what.split())
    if not words:
        raise UnableToNote(_("Say in a few words what is to be done."), field="what")
    if due_on < today:
        raise UnableToNote(
            _("%s has passed. Choose today or a later day.") % due_on.isoformat(), field="due_on"
        )
    if handed_to is not None:
        _refuse_person(place, handed_to)
    return FollowUp.objects.create(
        property=place,
        kind=FollowUpKind.BY_HAND,
        cause=cause,
        what=words,
        due_on=due_on,
        station=station,
        controller=controller,
        fault=fault,
        job=job,
        handed_to=handed_to,
        raised_by=by,
    )


def note_what_a_client_said(said: ClientSaid) -> None:
    """Make it due today: the office answers."""
    raise_by_hand(
        place=said.fault.property,
        what=said.words[:LONGEST_NOTE],
        due_on=said.today,
        by=said.by,
        today=said.today,
        fault=said.fault,
    )


@verb(
    name="finish what is due",
    action=Action.HANDLE_FOLLOW_UPS,
    guard="it is open",
    undo="open what was done again",
)
def finish_follow_up(*, follow_up: FollowUp, by: User, today: date, note: str = "") -> None:
    """Tick it as done."""
    row = follow_up
    _refuse_closed(row, UnableToFinish)
    row.state, row.done_on, row.done_by = FollowUpState.DONE, today, by
    row.note, row.sequence = note.strip(), row.sequence + 1
    row.save()


def finish_chasing(sent: QuoteSent) -> None:
    """Tick off that its client was to be asked again."""
    rows = FollowUp.objects.open().filter(kind=FollowUpKind.CHASE_CLIENT, fault=sent.quote.fault)
    for row in rows.select_for_update().order_by("pk"):
        words = _("Quote %s was sent again.") % sent.quote.version
        finish_follow_up(follow_up=row, by=sent.by, today=sent.today, note=words)


@verb(
    name="move what is due",
    action=Action.HANDLE_FOLLOW_UPS,
    guard="it is open; another day, today or later; a reason in words",
    undo="put what was moved back on its day",
)
def move_follow_up(*, follow_up: FollowUp, to: date, why: str, today: date) -> None:
    """Move it to a day. From then on its rule leaves the day alone."""
    row = follow_up
    _refuse_closed(row, UnableToMoveFollowUp)
    if to < today:
        raise UnableToMoveFollowUp(
            _("%s has passed. Choose today or a later day.") % to.isoformat(), field="to"
        )
    if to == row.due_on:
        raise UnableToMoveFollowUp(_("It is due on that day already."), field="to")
    if not why.strip():
        raise UnableToMoveFollowUp(_("Say in a few words why."), field="why")
    row.due_on, row.sequence = to, row.sequence + 1
    save_because(row, why.strip())


@verb(
    name="put what was moved back on its day",
    action=Action.HANDLE_FOLLOW_UPS,
    guard="it is open, and what was changed last is its day",
    undo="move what is due",
)
def put_back_on_its_day(*, follow_up: FollowUp) -> None:
    """Take a move back. The day may have passed; one that its rule gave is its rule's again."""
    row = follow_up
    _refuse_closed(row, UnableToPutBack)
    latest = list(row.history.order_by("-history_id").values_list("due_on", flat=True)[:2])
    if len(latest) < 2 or latest[0] == latest[1]:
        raise UnableToPutBack(_("Its day is not what was changed last. Move it to a day instead."))
    row.due_on, row.sequence = latest[1], row.sequence + 1
    row.save()


@verb(
    name="hand over what is due",
    action=Action.HANDLE_FOLLOW_UPS,
    guard="it is open; somebody else who may do it at this property, or nobody in particular",
    undo="hand it over again",
)
def hand_over(*, follow_up: FollowUp, to: User | None) -> None:
    """Assign it to one person; unassigned, every user who may do it sees it again."""
    row = follow_up
    _refuse_closed(row, UnableToHandOver)
    if to is not None:
        _refuse_person(row.property, to)
    if row.handed_to_id == (to.pk if to else None):
        raise UnableToHandOver(_("It is with %s already.") % (to or _("nobody")), field="to")
    row.handed_to, row.sequence = to, row.sequence + 1
    row.save()


@verb(
    name="open what was done again",
    action=Action.HANDLE_FOLLOW_UPS,
    guard="it is done; one whose cause is gone lapses with the next round",
    undo="finish what is due",
)
def reopen_follow_up(*, follow_up: FollowUp) -> None:
    """Take a tick back."""
    row = follow_up
    if row.state != FollowUpState.DONE:
        raise UnableToReopen(_("This is not done, so there is nothing to open again."))
    row.state, row.done_on, row.done_by = FollowUpState.OPEN, None, None
    row.sequence += 1
    row.save()


def _refuse_closed(row: FollowUp, error: type[UnableToAct]) -> None:
    if row.state == FollowUpState.DONE:
        raise error(_("Somebody has done this already (on %s).") % (row.done_on or ""))
    if row.state == FollowUpState.LAPSED:
        raise error(_("This is no longer needed: what it was about has changed meanwhile."))


def _refuse_person(place: Property, person: User) -> None:
    if not handlers_on(place).filter(pk=person.pk).exists():
        raise UnableToHandOver(
            _("%(who)s may not do this at %(place)s. Choose somebody else.")
            % {"who": person, "place": place},
            field="to",
        )
