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
    EDIT_REGISTER = "change the register"
    LOAD_REGISTER = "load register files"
    MANAGE_PEOPLE = "manage people and their grants"


_EVERYBODY = frozenset(Role)
_OURS = _EVERYBODY - {Role.TRACER, Role.CLIENT}
_OFFICE = frozenset({Role.OWNER, Role.WATER_MANAGER, Role.DISPATCHER})

ROLES_FOR: dict[Action, frozenset[Role]] = {
    Action.SEE_REGISTER: _EVERYBODY,
    Action.SEE_OFF_CENTRAL: _EVERYBODY,
    Action.SEE_FAULTS: _EVERYBODY,
    Action.SEE_CONTACTS: _OURS,
    Action.SEE_RATES: _OFFICE,
    Action.SEE_HISTORY: _OURS,
    Action.EDIT_REGISTER: _OFFICE,
    Action.LOAD_REGISTER: _OFFICE,
    Action.MANAGE_PEOPLE: frozenset({Role.OWNER}),
}


def allows(role: Role, action: Action) -> bool:
    """Return whether the table gives `action` to `role`."""
    return role in ROLES_FOR[action]


def roles_with(action: Action) -> frozenset[Role]:
    """Return the roles that may do `action`."""
    return ROLES_FOR[action]
