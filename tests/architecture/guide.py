"""The tables that DEVELOPERS.md prints, made from the code. Run it to write them anew:

uv run python -m tests.architecture.guide
"""

import os
import re
from pathlib import Path

from faults.engines.stages import MOVES
from sites.engines.roles import ROLES_FOR, Role

GUIDE = Path(__file__).parent.parent.parent / "DEVELOPERS.md"


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


def verb_table() -> list[str]:
    """Return the lines of the table of verbs; the addresses load every module that has one."""
    from django.urls import get_resolver

    from sites.services.verbs import VERBS

    assert get_resolver().url_patterns
    return [
        "| verb | asks for | refuses unless | undo |",
        "|---|---|---|---|",
        *(
            f"| {verb.name} | {verb.action.value} | {verb.guard} | {verb.undo} |"
            for verb in sorted(VERBS.values(), key=lambda verb: verb.name)
        ),
    ]


def waits_table() -> list[str]:
    """Return the lines of the table of what a station waits on, by what holds."""
    from tests.engines.waits_cases import CASES

    return [
        "| what holds | waits on | whose move |",
        "|---|---|---|",
        *(f"| {case} | {on.value} | {mover.value} |" for case, (_, on, mover, *_) in CASES.items()),
    ]


def with_tables(text: str) -> str:
    """Return the guide with each table made anew under its first line."""
    for table in (stage_table(), access_table(), verb_table(), waits_table()):
        text = re.sub(
            re.escape(table[0]) + r"\n(?:\|.*\n)+",
            lambda _, lines=table: "\n".join(lines) + "\n",
            text,
        )
    return text


def _names(roles: frozenset[Role]) -> str:
    return ", ".join(role.value for role in Role if role in roles)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "sites.project.settings")
    import django

    django.setup()
    GUIDE.write_text(with_tables(GUIDE.read_text()))
