"""Who may do what: one table, plain data.

A user holds *grants*. A grant gives one role on everything, on one client's properties, or on
one property. An action is allowed on a property when any grant that covers it has the action.
"""

from enum import StrEnum


class Role(StrEnum):
    """The people of the design, by what they do."""

    OWNER = "owner"
    WATER_MANAGER = "water manager"
    DISPATCHER = "dispatcher"
    TECHNICIAN = "technician"
    TRACER = "subcontracted tracer"
    CLIENT = "client"


class Action(StrEnum):
    """What a page or verb asks for."""

    SEE_REGISTER = "see the register"
    SEE_OFF_CENTRAL = "see what is off central control"
    SEE_FAULTS = "see faults"
    SEE_CONTACTS = "see contacts"
    SEE_RATES = "see rates and prices"
    SEE_HISTORY = "see who changed what"
    SEE_HOTSPOTS = "see where faults keep coming back"
    DECIDE = "decide on renewing legs"
    SEE_REPORTS = "see issued reports"
    ISSUE_REPORTS = "put reports together and issue them"
    SET_GOALS = "set goals"
    SEE_PHOTOS = "see photos"
    EXPORT = "export what may be seen"
    EDIT_REGISTER = "change the register"
    CHANGE_GROUND = "change points, legs and wires"
    CHANGE_STOPGAPS = "fit, change and remove stopgaps"
    ADD_PHOTOS = "add photos"
    REPORT_FAULT = "report a fault"
    RECORD_BREAK = "record a break"
    TAKE_READINGS = "take readings and walk stations"
    MOVE_FAULT = "move a station of a fault to another stage"
    ASSIGN_FAULT = "assign a fault to a tracer"
    SET_AUTHORITY = "set standing authority, warranty and rates"
    SEE_WORK = "see jobs and what is due"
    SEE_ROUNDS = "see rounds over many properties"
    PLAN_JOBS = "plan, assign and move jobs"
    WORK_JOBS = "start, note and finish jobs"
    ASK_CLIENT = "ask the client and enter the answer"
    ANSWER_QUOTES = "answer quotes as the client"
    GIVE_NOTICE = "give notices and enter who has answered"
    SET_NOTICE_RULES = "set and confirm notice rules"
    OVERRIDE_DIG = "let a dig go on against a notice"
    OVERRIDE_LIMIT = "let work start beyond the client's limit"
    GIVE_TO_BOOKS = "give lines to the books, and take them back"
    HANDLE_FOLLOW_UPS = "do, move and hand over what is due"
    SET_UP_WORK = "set up crews and the rules of what falls due"
    SEE_HEALTH = "see how the service runs"
    RECONCILE = "reconcile with the central system's list"
    LOAD_REGISTER = "load register files"
    MANAGE_PEOPLE = "manage people and their grants"


_EVERYBODY = frozenset(Role)
_OURS = _EVERYBODY - {Role.TRACER, Role.CLIENT}
_OFFICE = frozenset({Role.OWNER, Role.WATER_MANAGER, Role.DISPATCHER})
_FIELD = _OFFICE | {Role.TECHNICIAN}

ROLES_FOR: dict[Action, frozenset[Role]] = {
    Action.SEE_REGISTER: _EVERYBODY,
    Action.SEE_OFF_CENTRAL: _EVERYBODY,
    Action.SEE_FAULTS: _EVERYBODY,
    Action.SEE_CONTACTS: _OURS,
    Action.SEE_RATES: _OFFICE,
    Action.SEE_HISTORY: _OURS,
    Action.SEE_HOTSPOTS: _OURS,
    Action.DECIDE: frozenset({Role.OWNER, Role.WATER_MANAGER}),
    Action.SEE_REPORTS: _OURS | {Role.CLIENT},
    Action.ISSUE_REPORTS: _OFFICE,
    Action.SET_GOALS: frozenset({Role.OWNER, Role.WATER_MANAGER}),
    Action.SEE_PHOTOS: _EVERYBODY,
    Action.EXPORT: _EVERYBODY,
    Action.EDIT_REGISTER: _OFFICE,
    Action.CHANGE_GROUND: _FIELD,
    Action.CHANGE_STOPGAPS: _FIELD,
    Action.ADD_PHOTOS: _FIELD | {Role.TRACER},
    Action.REPORT_FAULT: _FIELD | {Role.CLIENT},
    Action.RECORD_BREAK: _FIELD | {Role.TRACER},
    Action.TAKE_READINGS: _FIELD | {Role.TRACER},
    Action.MOVE_FAULT: _FIELD | {Role.TRACER},
    Action.ASSIGN_FAULT: _OFFICE,
    Action.SET_AUTHORITY: _OFFICE,
    Action.SEE_WORK: _OURS | {Role.TRACER},
    Action.SEE_ROUNDS: _OURS,
    Action.PLAN_JOBS: _OFFICE,
    Action.WORK_JOBS: _FIELD | {Role.TRACER},
    Action.ASK_CLIENT: _OFFICE,
    Action.ANSWER_QUOTES: frozenset({Role.CLIENT}),
    Action.GIVE_NOTICE: _FIELD,
    Action.SET_NOTICE_RULES: frozenset({Role.OWNER}),
    Action.OVERRIDE_DIG: frozenset({Role.OWNER}),
    Action.OVERRIDE_LIMIT: frozenset({Role.OWNER, Role.WATER_MANAGER}),
    Action.GIVE_TO_BOOKS: _OFFICE,
    Action.HANDLE_FOLLOW_UPS: _FIELD,
    Action.SET_UP_WORK: frozenset({Role.OWNER, Role.DISPATCHER}),
    Action.SEE_HEALTH: frozenset({Role.OWNER}),
    Action.RECONCILE: _OFFICE,
    Action.LOAD_REGISTER: _OFFICE,
    Action.MANAGE_PEOPLE: frozenset({Role.OWNER}),
}


def allows(role: Role, action: Action) -> bool:
    """Return whether the table gives `action` to `role`."""
    return role in ROLES_FOR[action]


def roles_with(action: Action) -> frozenset[Role]:
    """Return the roles that may do `action`."""
    return ROLES_FOR[action]
