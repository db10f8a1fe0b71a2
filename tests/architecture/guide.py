"""The tables that DEVELOPERS.md prints, made from the code. Run it to print them anew:

uv run python -m tests.architecture.guide
"""

from faults.engines.stages import MOVES
from sites.engines.roles import ROLES_FOR, Role


def stage_table() -> list[str]:
    """Return the lines of the table of stage moves."""
    return [
        "| from | to | guard | who may |",
        "|---|---|---|---|",
        *(f"| {move.start} | {move.end} | {move.guard} | {_names(move.roles)} |" for move in MOVES),
    ]


def access_table() -> list[str]:
    """Return the lines of the table of roles and actions."""
    head = " | ".join(role.value for role in Role)
    return [
        f"| action | {head} |",
        "|---|" + "---|" * len(Role),
        *(
            f"| {action.value} | "
            + " | ".join("yes" if role in roles else "" for role in Role)
            + " |"
            for action, roles in ROLES_FOR.items()
        ),
    ]


def _names(roles: frozenset[Role]) -> str:
    return ", ".join(role.value for role in Role if role in roles)


if __name__ == "__main__":
    print("\n".join([*stage_table(), "", *access_table()]))
