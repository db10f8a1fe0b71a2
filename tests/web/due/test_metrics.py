"""Numbers for monitoring: who may read them, and that each counts what it says and no more."""

import re
from collections import namedtuple
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from django.db import OperationalError
from django.test import Client

from faults.due.services import metrics as asked
from faults.due.services.health import MOST_MAILS, SHORTEST_LATE
from faults.models import Beat, SheetItem
from sites.backups.services.backing_up import BACKUP
from sites.backups.services.scheduled import OLD_AFTER
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import as_one_change
from sites.models import Run, RunState
from sites.runs.services import LATE_AFTER_S, SILENT_FOR_S
from tests import make, make_due, make_hooks
from tests.cast import Cast
from tests.make import NOW
from tests.services_real.operators_guide import GUIDE
from tests.web.pages import signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

TOKEN = "monitoring-0123456789-0123456789-abc"
SECOND = timedelta(seconds=1)
_LINE = re.compile(r'([a-z_]+)(?:\{([a-z]+)="((?:[^"\\\n]|\\.)*)"\})? (-?[0-9.e+]+)')
Usage = namedtuple("Usage", "total used free")


@pytest.fixture(autouse=True)
def with_a_token(settings: Any) -> None:
    """Monitoring may ask, and no run of another test is remembered."""
    settings.METRICS_TOKEN = TOKEN
    cache.clear()


def ask(secret: str | None = TOKEN, **more: str) -> Any:
    headers = {} if secret is None else {"Authorization": f"Bearer {secret}"}
    return Client().get("/metrics", headers={**headers, **more})


def numbers() -> dict[str, float]:
    """Return each number by its name, with the value of its label after a stroke."""
    found = {}
    for line in ask().content.decode().splitlines():
        if not line.startswith("#"):
            matched = _LINE.fullmatch(line)
            assert matched, line
            name, _label, value, number = matched.groups()
            found[name if value is None else f"{name}/{value}"] = float(number)
    return found


def beginning(prefix: str) -> dict[str, float]:
    """Return the numbers whose names begin so, by the rest of their names."""
    return {key[len(prefix) :]: n for key, n in numbers().items() if key.startswith(prefix)}


def test_with_the_token_it_is_text_that_nobody_keeps() -> None:
    answer = ask()
    assert (answer.status_code, answer.headers["Content-Type"]) == (
        200,
        "text/plain; version=0.0.4; charset=utf-8",
    )
    assert "no-store" in answer.headers["Cache-Control"]
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
    assert answer.cookies == {}


@pytest.mark.parametrize(
    "header",
    [None, "", "Bearer", "Bearer ", f"Basic {TOKEN}", TOKEN, "Bearer é", f"Bearer {TOKEN}x"],
)
def test_with_none_or_a_wrong_one_it_tells_nothing_and_leads_nowhere(header: str | None) -> None:
    headers = {} if header is None else {"Authorization": header}
    answer = Client().get("/metrics", headers=headers)
    assert (answer.status_code, answer.headers["WWW-Authenticate"]) == (401, "Bearer")
    assert b"rejoin_" not in answer.content
    assert "Location" not in answer.headers


def test_a_signed_in_owner_is_no_token(cast: Cast) -> None:
    assert signed_in(cast.owner).get("/metrics").status_code == 401


@pytest.mark.parametrize("secret", [None, "", TOKEN])
def test_where_no_token_is_set_there_is_no_such_address(settings: Any, secret: str | None) -> None:
    settings.METRICS_TOKEN = ""
    assert ask(secret).status_code == 404


def test_each_metric_says_what_it_is_once_and_before_its_numbers() -> None:
    lines = ask().content.decode().splitlines()
    heads = [line.split()[2] for line in lines if line.startswith("# HELP ")]
    assert [line.split()[2:] for line in lines if line.startswith("# TYPE ")] == [
        [name, "gauge"] for name in heads
    ]
    assert len(heads) == len(set(heads)) > 10
    named = [re.split(r"[{ ]", line)[0] for line in lines if line[0] != "#"]
    assert list(dict.fromkeys(named)) == heads


def rounds(name: str) -> dict[str, float]:
    """Return what is told of one round."""
    told = beginning("rejoin_round_").items()
    return {key.partition("/")[0]: n for key, n in told if key.endswith(f"/{name}")}


def test_of_a_round_that_never_ended_only_that_is_known() -> None:
    assert rounds("mail") == {"ever_ended": 0}


def test_a_round_is_late_after_three_periods_and_half_an_hour_at_least() -> None:
    ended = NOW - SHORTEST_LATE
    Beat.objects.create(name="mail", began_at=ended, ended_at=ended)
    Beat.objects.create(name="follow-ups", began_at=NOW, ended_at=NOW + timedelta(hours=2))
    assert rounds("mail") == {"ever_ended": 1, "since_end_seconds": 1800, "late": 0, "failed": 0}
    assert rounds("follow-ups")["since_end_seconds"] == -7200
    Beat.objects.filter(name="mail").update(ended_at=ended - SECOND)
    assert rounds("mail")["late"] == 1
    assert rounds("follow-ups")["late"] == 0


def test_a_round_has_failed_until_it_ends_well_again() -> None:
    Beat.objects.create(name="mail", began_at=NOW, failed_at=NOW, last_error="OSError: full")
    Beat.objects.create(name="learning", began_at=NOW, failed_at=NOW - SECOND, ended_at=NOW)
    assert rounds("mail") == {"ever_ended": 0, "failed": 1}
    assert rounds("learning")["failed"] == 0
    Beat.objects.filter(name="mail").update(ended_at=NOW + SECOND)
    assert rounds("mail")["failed"] == 0


def a_run(state: RunState, **given: Any) -> Run:
    return Run.objects.create(
        **{"service": "x", "title": "x", "asked_at": NOW, "state": state, **given}
    )


def runs() -> list[float]:
    told = numbers()
    return [told[f"rejoin_runs/{state}"] for state in ("waiting", "running", "stuck")]


def test_runs_that_wait_are_under_way_or_stand_still() -> None:
    assert runs() == [0, 0, 0]
    at_once, silent = timedelta(seconds=LATE_AFTER_S), timedelta(seconds=SILENT_FOR_S)
    a_run(RunState.WAITING, asked_at=NOW - at_once)
    a_run(RunState.RUNNING, asked_at=NOW - silent, started_at=NOW - silent)
    for over in (RunState.DONE, RunState.FAILED, RunState.CANCELLED):
        a_run(over, asked_at=NOW - timedelta(days=1))
    assert runs() == [1, 1, 0]
    a_run(RunState.WAITING, asked_at=NOW - at_once - SECOND)
    a_run(RunState.RUNNING, asked_at=NOW - silent - SECOND, started_at=NOW - silent - SECOND)
    assert runs() == [2, 2, 2]


def messages(what: str) -> list[float]:
    told = numbers()
    return [told[f"rejoin_messages_{state}/{what}"] for state in ("waiting", "given_up")]


def test_mails_that_wait_and_all_that_were_given_up() -> None:
    assert messages("mail") == [0, 0]
    for _again in range(2):
        make_due.mail()
    make_due.mail(sent_at=NOW)
    # More than the page lists.
    for _again in range(MOST_MAILS + 1):
        make_due.mail(given_up_at=NOW)
    assert messages("mail") == [2, MOST_MAILS + 1]


def test_programs_that_are_still_to_be_told(cast: Cast) -> None:
    assert messages("programs told") == [0, 0]
    receiver = make_hooks.receiver(cast.owner)
    for _again in range(2):
        make_hooks.delivery(receiver)
    make_hooks.delivery(receiver, sent_at=NOW)
    make_hooks.delivery(receiver, given_up_at=NOW)
    assert messages("programs told") == [2, 1]


def a_backup(state: RunState = RunState.DONE, *, age: timedelta, size: int = 0) -> Run:
    at = NOW - age
    result = {"name": "one.tar", "size": size, "rows": 1, "files": 1, "sealed": True}
    return a_run(state, service=BACKUP, asked_at=at, ended_at=at, result=result)


def backups() -> dict[str, float]:
    return beginning("rejoin_backup_")


def test_without_a_backup_its_age_and_size_are_not_known() -> None:
    assert backups() == {"too_old": 1, "failed": 0}


def test_the_newest_backup_counts_and_a_failed_try_is_told() -> None:
    a_backup(age=OLD_AFTER + SECOND, size=70)
    old = {"age_seconds": OLD_AFTER.total_seconds() + 1, "size_bytes": 70}
    assert backups() == {**old, "too_old": 1, "failed": 0}
    a_backup(age=OLD_AFTER, size=90)
    newer = {"age_seconds": OLD_AFTER.total_seconds(), "size_bytes": 90}
    assert backups() == {**newer, "too_old": 0, "failed": 0}
    a_backup(RunState.FAILED, age=SECOND)
    assert backups() == {**newer, "too_old": 0, "failed": 1}


def free() -> dict[str, float]:
    return beginning("rejoin_disk_free_bytes/")


def test_room_on_the_disks_and_none_told_of_a_share_that_is_not_mounted(
    settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sizes = {"new": 111, "backups": 333}
    monkeypatch.setattr(
        "shutil.disk_usage", lambda path: Usage(0, 0, sizes.get(Path(path).name, 222))
    )
    (tmp_path / "new").mkdir()
    # Made with the first upload: until then it is the disk of the folder above that counts.
    settings.MEDIA_ROOT = tmp_path / "new" / "media"
    settings.BACKUP_FOLDER = None
    assert free() == {"media": 111, "state": 222}
    settings.BACKUP_FOLDER = tmp_path / "backups"
    assert free() == {"media": 111, "state": 222}
    settings.BACKUP_FOLDER.mkdir()
    assert free() == {"media": 111, "state": 222, "backups": 333}


def test_stations_off_central_of_all_that_are_meant_for_it() -> None:
    def told() -> list[float]:
        found = numbers()
        return [found["rejoin_stations_off_central"], found["rejoin_stations"]]

    assert told() == [0, 0]
    with as_one_change():
        clock = make.controller()
        stations = [make.station(controller=clock) for _each in range(3)]
    assert told() == [0, 3]
    with as_one_change():
        for station in stations[:2]:
            make.stopgap(station=station, device=make.device(property=clock.property))
    assert told() == [2, 3]


def item(answer: str, *, age: timedelta, **given: Any) -> None:
    moments = {"at": NOW, "happened_at": NOW, "received_at": NOW - age}
    why = {} if answer == "accepted" else {"why": "no", "mine": "a", "theirs": "b"}
    SheetItem.objects.create(**{"kind": "start", "answer": answer, **moments, **why, **given})


def test_what_phones_sent_and_was_not_kept() -> None:
    def told() -> list[float]:
        found = beginning("rejoin_phone_items_")
        return [found["refused_last_day"], found["unsettled"]]

    item("accepted", age=SECOND)
    assert told() == [0, 0]
    item("refused", age=asked.PHONES_WITHIN - SECOND)
    item("conflict", age=SECOND, settled_at=NOW)
    assert told() == [2, 1]
    item("refused", age=asked.PHONES_WITHIN)
    assert told() == [2, 2]


def test_nobody_is_named(cast: Cast) -> None:
    corner = make.station(name="Roses by the gate")
    make_due.mail(to=cast.owner.email, given_up_at=NOW)
    make_hooks.delivery(make_hooks.receiver(make.user(Role.OWNER), name="lobby"), given_up_at=NOW)
    text = ask().content.decode()
    place = corner.controller.property
    for word in (corner.name, place.code, place.client.name, "olive", "lobby", "example"):
        assert word not in text


def test_a_database_that_is_gone_is_no_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(**_at: Any) -> None:
        raise OperationalError("no connection")

    monkeypatch.setattr("faults.due.views.health.metrics_now", gone)
    client = Client(raise_request_exception=False)
    answer = client.get("/metrics", headers={"Authorization": f"Bearer {TOKEN}"})
    assert answer.status_code == 503


def test_the_guide_names_only_what_is_told() -> None:
    a_backup(age=SECOND)
    Beat.objects.create(name="mail", ended_at=NOW)
    named = set(re.findall(r"`(rejoin_\w+)", GUIDE.read_text()))
    assert len(named) >= 7
    assert named - {key.partition("/")[0] for key in numbers()} == set()
