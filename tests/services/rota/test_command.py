"""`manage.py plan_rota`: one line of JSON at the end, no database, errors that say what to do."""

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

SMALL = Path(__file__).parents[2] / "engines" / "rota" / "T1.json"


def run(*options: str | Path) -> str:
    out = StringIO()
    call_command("plan_rota", *map(str, options), stdout=out)
    return out.getvalue()


# No mark for a database: a query would fail.
def test_the_last_line_is_the_plan() -> None:
    found = json.loads(run(SMALL, "--json").splitlines()[-1])
    assert (found["objective"], found["status"], found["bound"]) == (1274, "optimal", 1274)
    assert {"tech": 0, "day": 1, "jobs": [[4, 486], [7, 676]]} in found["routes"]
    assert [each["job"] for each in found["left_out"]] == [3, 5, 6]
    assert found["left_out"][0]["reason"].startswith("Outbid on technician 1, day 1 by job 1")
    assert "210 minutes" in found["left_out"][1]["reason"]


def test_in_words_it_says_how_good_it_is() -> None:
    said = run(SMALL)
    assert "objective 1274 min (optimal, bound 1274, gap 0.0%, all routes)" in said
    assert "technician 0, day 1: 4 at 8:06, 7 at 11:16; driving 72 min" in said


def test_what_cannot_be_read_says_why(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"nowhere\.json cannot be read: No such file"):
        run(tmp_path / "nowhere.json")
    broken = tmp_path / "broken.json"
    broken.write_bytes(b"{")
    with pytest.raises(CommandError, match=r"is not a rota to plan: Expecting"):
        run(broken)
    broken.write_bytes(b"\xff\xfe{}")
    with pytest.raises(CommandError, match="is not a rota to plan"):
        run(broken)
    with pytest.raises(CommandError, match="--seconds is 0"):
        run(SMALL, "--seconds=0")


def test_a_job_that_waits_for_another_says_so(tmp_path: Path) -> None:
    data = json.loads(SMALL.read_text())
    changed = tmp_path / "after.json"

    def planned(after: int) -> dict[str, Any]:
        data["jobs"][7]["after"] = [after]
        changed.write_text(json.dumps(data))
        found: dict[str, Any] = json.loads(run(changed, "--json").splitlines()[-1])
        return found

    # As the plan has it anyway, behind job 4, nothing changes.
    assert planned(4)["objective"] == 1274
    # Job 5 fits on no day, so job 7 (penalty 250) has none; it lay where job 4 is driven to anyway.
    found = planned(5)
    left = {each["job"]: each["reason"] for each in found["left_out"]}
    assert left[7] == "It comes after job 5, which has no place itself."
    assert found["objective"] == 1274 + 250
