"""Plan a rota from a file, without a database.

What the file holds is told in `faults.rota.engines.instance`. A job may say `"after": [0, 3]`: it
has a later day than jobs 0 and 3, or comes after them on one technician's day. That adds nothing to
the objective, and a file without it is planned as if there were no such thing.
"""

import json as json_text
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from faults.rota.engines.instance import problem_of
from faults.rota.engines.planning import DEFAULT_SECONDS, Plan, plan
from faults.rota.engines.problem import Problem, ShiftKey
from faults.rota.engines.reasons import reasons
from faults.rota.services.words import in_words


class Command(BaseCommand):
    """Print the best rota that the time allows, and whether it is proven."""

    help = "Plan the rota of a JSON file: who does which job on which day, proven or with its gap"
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The file, how long it may take, JSON or a table."""
        parser.add_argument("file", type=Path)
        parser.add_argument("--seconds", type=float, default=DEFAULT_SECONDS)
        parser.add_argument("--json", action="store_true")

    def handle(self, *, file: Path, seconds: float, json: bool, **_options: Any) -> None:
        """Read, plan and print."""
        if not seconds > 0:
            raise CommandError(f"--seconds is {seconds:g}: give a number above 0.")
        problem = read(file)
        made = plan(problem, seconds=seconds)
        found = as_dict(problem, made)
        self.stdout.write(json_text.dumps(found) if json else _as_table(made, found))


def read(file: Path) -> Problem:
    """Return the problem of a file.

    Raises:
        CommandError: it cannot be read; it says what to mend.
    """
    try:
        return problem_of(json_text.loads(file.read_bytes()))
    except OSError as error:
        raise CommandError(f"{file} cannot be read: {error.strerror}.") from error
    except ValueError as error:  # UnicodeDecodeError and JSONDecodeError among them.
        raise CommandError(f"{file} is not a rota to plan: {error}") from error


def as_dict(problem: Problem, made: Plan) -> dict[str, Any]:
    """Return a plan as the command prints it."""
    return {
        "objective": made.objective,
        "status": made.status.value,
        "bound": made.bound,
        "method": made.method.value,
        "driving": made.driving,
        "routes": [
            {
                "tech": route.shift.crew,
                "day": route.shift.day,
                "jobs": [list(stop) for stop in route.stops],
            }
            for route in made.routes
        ],
        "left_out": [
            {"job": reason.key, "reason": in_words(reason, problem, job=_job, shift=_shift)}
            for reason in reasons(problem, made)
        ],
    }


def _job(key: int) -> str:
    return f"job {key}"


def _shift(key: ShiftKey) -> str:
    return f"technician {key.crew}, day {key.day}"


def _as_table(made: Plan, found: dict[str, Any]) -> str:
    lines = [
        f"objective {made.objective} min ({made.status.value}, bound {made.bound}, "
        f"gap {made.gap:.1%}, {made.method.value}), driving {made.driving} min"
    ]
    for route in made.routes:
        stops = ", ".join(f"{key} at {at // 60}:{at % 60:02}" for key, at in route.stops)
        lines.append(f"{_shift(route.shift)}: {stops}; driving {route.driving} min")
    lines += [f"left out, job {each['job']}: {each['reason']}" for each in found["left_out"]]
    return "\n".join(lines)
