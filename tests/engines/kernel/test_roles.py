"""The whole table of roles, written out a second time by hand: a change must change both."""

import pytest

from sites.kernel.engines.roles import ROLES_FOR, Action, Role, allows, roles_with

# One letter per role, in this order; a dot where the role may not.
LETTERS = {
    "O": Role.OWNER,
    "W": Role.WATER_MANAGER,
    "D": Role.DISPATCHER,
    "T": Role.TECHNICIAN,
    "S": Role.TRACER,
    "C": Role.CLIENT,
}
TABLE = {
    Action.SEE_REGISTER: "OWDTSC",
    Action.SEE_OFF_CENTRAL: "OWDTSC",
    Action.SEE_FAULTS: "OWDTSC",
    Action.SEE_CONTACTS: "OWDT..",
    Action.SEE_RATES: "OWD...",
    Action.SEE_HISTORY: "OWDT..",
    Action.SEE_PHOTOS: "OWDTSC",
    Action.EXPORT: "OWDTSC",
    Action.EDIT_REGISTER: "OWD...",
    Action.CHANGE_GROUND: "OWDT..",
    Action.CHANGE_STOPGAPS: "OWDT..",
    Action.ADD_PHOTOS: "OWDTS.",
    Action.REPORT_FAULT: "OWDT.C",
    Action.RECORD_BREAK: "OWDTS.",
    Action.TAKE_READINGS: "OWDTS.",
    Action.MOVE_FAULT: "OWDTS.",
    Action.ASSIGN_FAULT: "OWD...",
    Action.SET_AUTHORITY: "OWD...",
    Action.SEE_WORK: "OWDTS.",
    Action.SEE_ROUNDS: "OWDT..",
    Action.PLAN_JOBS: "OWD...",
    Action.WORK_JOBS: "OWDTS.",
    Action.ASK_CLIENT: "OWD...",
    Action.ANSWER_QUOTES: ".....C",
    Action.GIVE_NOTICE: "OWDT..",
    Action.SET_NOTICE_RULES: "O.....",
    Action.OVERRIDE_DIG: "O.....",
    Action.OVERRIDE_LIMIT: "OW....",
    Action.GIVE_TO_BOOKS: "OWD...",
    Action.HANDLE_FOLLOW_UPS: "OWDT..",
    Action.SET_UP_WORK: "O.D...",
    Action.SEE_HEALTH: "O.....",
    Action.RECONCILE: "OWD...",
    Action.LOAD_REGISTER: "OWD...",
    Action.SEE_HOTSPOTS: "OWDT..",
    Action.DECIDE: "OW....",
    Action.SEE_REPORTS: "OWDT.C",
    Action.ISSUE_REPORTS: "OWD...",
    Action.SET_GOALS: "OW....",
    Action.MANAGE_PEOPLE: "O.....",
}


def test_every_action_and_every_role_is_in_the_table() -> None:
    assert set(TABLE) == set(Action) == set(ROLES_FOR)
    assert set(LETTERS.values()) == set(Role)


@pytest.mark.parametrize("action", list(Action))
@pytest.mark.parametrize(("letter", "role"), LETTERS.items())
def test_a_role_may_do_what_its_letter_says(action: Action, letter: str, role: Role) -> None:
    assert allows(role, action) == (letter in TABLE[action])
    assert (role in roles_with(action)) == (letter in TABLE[action])


def test_nobody_outside_the_firm_sees_prices_contacts_or_history() -> None:
    private = (Action.SEE_CONTACTS, Action.SEE_RATES, Action.SEE_HISTORY)
    assert all(not roles_with(action) & {Role.CLIENT, Role.TRACER} for action in private)
