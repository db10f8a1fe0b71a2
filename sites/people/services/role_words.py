"""What each role may do, in the words of people: the table of roles itself, read aloud."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from sites.kernel.engines.roles import Action, Role, allows

ACTION_WORDS: dict[Action, Promise] = {
    Action.SEE_REGISTER: _("see the register"),
    Action.SEE_OFF_CENTRAL: _("see what is off central control"),
    Action.SEE_FAULTS: _("see faults"),
    Action.SEE_CONTACTS: _("see contacts"),
    Action.OVERRIDE_LIMIT: _("let work start beyond the client's limit"),
    Action.GIVE_TO_BOOKS: _("give lines to the books, and take them back"),
    Action.SEE_RATES: _("see rates and prices"),
    Action.SEE_HISTORY: _("see who changed what"),
    Action.SEE_HOTSPOTS: _("see where faults keep coming back"),
    Action.DECIDE: _("decide on renewing legs"),
    Action.SEE_REPORTS: _("see issued reports"),
    Action.ISSUE_REPORTS: _("put reports together and issue them"),
    Action.SET_GOALS: _("set goals"),
    Action.SEE_PHOTOS: _("see photos"),
    Action.EXPORT: _("export what may be seen"),
    Action.EDIT_REGISTER: _("change the register"),
    Action.CHANGE_GROUND: _("change points, legs and wires"),
    Action.CHANGE_STOPGAPS: _("fit, change and remove stopgaps"),
    Action.ADD_PHOTOS: _("add photos"),
    Action.REPORT_FAULT: _("report a fault"),
    Action.RECORD_BREAK: _("record a break"),
    Action.TAKE_READINGS: _("take readings and walk stations"),
    Action.MOVE_FAULT: _("move a station of a fault to another stage"),
    Action.ASSIGN_FAULT: _("assign a fault to a tracer"),
    Action.SET_AUTHORITY: _("set standing authority, warranty and rates"),
    Action.SEE_WORK: _("see jobs and what is due"),
    Action.SEE_ROUNDS: _("see rounds over many properties"),
    Action.PLAN_JOBS: _("plan, assign and move jobs"),
    Action.WORK_JOBS: _("start, note and finish jobs"),
    Action.ASK_CLIENT: _("ask the client and enter the answer"),
    Action.ANSWER_QUOTES: _("answer quotes as the client"),
    Action.GIVE_NOTICE: _("give notices and enter who has answered"),
    Action.SET_NOTICE_RULES: _("set and confirm notice rules"),
    Action.OVERRIDE_DIG: _("let a dig go on against a notice"),
    Action.HANDLE_FOLLOW_UPS: _("do, move and hand over what is due"),
    Action.SET_UP_WORK: _("set up crews and the rules of what falls due"),
    Action.SEE_HEALTH: _("see how the service runs"),
    Action.RECONCILE: _("reconcile with the central system's list"),
    Action.LOAD_REGISTER: _("load register files"),
    Action.MANAGE_PEOPLE: _("manage people and their roles"),
}


@dataclass(frozen=True)
class ActionLine:
    """One action, and for each role in order whether it may do it."""

    words: str
    by_role: Sequence[bool]


def role_table() -> list[ActionLine]:
    """Return the whole table, in the order of its declaration."""
    return [
        ActionLine(str(_words(action)), [allows(role, action) for role in Role])
        for action in Action
    ]


def may_do(role: Role) -> list[str]:
    """Return what a role may do."""
    return [str(_words(action)) for action in Action if allows(role, action)]


def _words(action: Action) -> Promise | str:
    return ACTION_WORDS.get(action, action.value)
