"""The operator's guide names only what is there: commands, options, settings, rounds, files."""

import re
import shlex
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import get_commands, load_command_class
from django.urls import reverse

from faults.due.services.outbox import KEPT_FOR
from faults.due.services.regular import every_round
from sites.backups.services import backing_up, restoring
from sites.project.environment import read_environment
from sites.runs.services import SILENT_FOR_S
from tests.architecture.source import CHECKOUT
from tests.services_real import operators_guide as guide
from tests.services_real.gunicorn import readme_arguments

TEXT = guide.GUIDE.read_text()
SETTING = re.compile(r'(?:env\.\w+\(|\(env, )"([A-Z][A-Z_]+)"')
IN_TEXT = re.compile(r"`([A-Z][A-Z]+_[A-Z_]+|EMAIL_URL|LOG_JSON)(?:=\w+)?`")
# Those of a developer's machine, and what has a default that fits.
NOT_FOR_OPERATORS = {"DEBUG", "REJOIN_DEMO", "SITE_URL"}


def settings_that_are_read() -> set[str]:
    """Return the names of the environment that the program reads."""
    source = (CHECKOUT / "sites/project/environment.py").read_text()
    return set(SETTING.findall(source))


def test_the_file_of_variables_names_all_that_are_read_and_no_other() -> None:
    read = settings_that_are_read()
    assert set(guide.variables()) == read - NOT_FOR_OPERATORS
    assert len(read) > 12


def test_each_setting_in_the_text_is_one() -> None:
    named = set(IN_TEXT.findall(TEXT))
    assert len(named) >= 5
    assert named - settings_that_are_read() == set()


@pytest.mark.parametrize("words", guide.rejoin_commands(), ids=" ".join)
def test_each_command_exists_with_its_options(words: list[str]) -> None:
    name, *rest = words
    command = load_command_class(get_commands()[name], name)
    parser = command.create_parser("manage.py", name)
    assert parser.parse_args(rest)


def test_commands_are_looked_at_at_all() -> None:
    names = {words[0] for words in guide.rejoin_commands()}
    assert {"backup", "restore", "upgrade", "run_due", "make_backup_key", "rebuild"} <= names


def test_an_option_that_is_none_would_be_seen() -> None:
    command = load_command_class("faults", "upgrade")
    with pytest.raises(Exception, match="--nonsense"):
        command.create_parser("manage.py", "upgrade").parse_args(["--nonsense"])


def exec_starts() -> Iterator[tuple[str, list[str]]]:
    for path in guide.UNITS:
        yield path.name, shlex.split(guide.unit(path)["Service"]["ExecStart"])


def test_each_unit_starts_a_program_that_the_checkout_installs() -> None:
    started = dict(exec_starts())
    assert set(started) == {
        f"rejoin-{name}.service" for name in ("web", "phones", "worker", "beat")
    }
    for program, *_rest in started.values():
        assert program.startswith("/srv/rejoin/.venv/bin/")
        assert (Path(sys.executable).parent / Path(program).name).exists()


def test_pages_start_as_readme_says() -> None:
    words = dict(exec_starts())["rejoin-web.service"][1:]
    assert words[: len(readme_arguments())] == readme_arguments()
    assert words[len(readme_arguments()) :] == ["--bind", "127.0.0.1:8000"]


def test_what_phones_send_has_workers_of_its_own_and_room_for_as_many_to_wait() -> None:
    words = dict(exec_starts())["rejoin-phones.service"][1:]
    workers, proxy = words.index("--workers") + 1, (guide.FOLDER / "nginx.conf").read_text()
    assert words[-2:] == ["--bind", "127.0.0.1:8001"]
    assert f"127.0.0.1:8001 max_conns={2 * int(words[workers])};" in proxy
    assert f"location = {reverse('faults:sheet_items')} {{" in proxy
    assert "in 3 to 6 s" in TEXT
    assert "Retry-After 3 always" in proxy


@pytest.mark.parametrize("path", guide.UNITS, ids=lambda path: path.name)
def test_each_unit_runs_as_the_guide_says(path: Path) -> None:
    service = guide.unit(path)["Service"]
    assert (service["User"], service["Group"], service["UMask"]) == ("rejoin", "rejoin", "0027")
    assert service["EnvironmentFile"] == "/etc/rejoin/rejoin.env"
    writable = set(service["ReadWritePaths"].split())
    assert guide.variables()["REJOIN_STATE"] in writable
    assert (guide.variables()["BACKUP_FOLDER"] in writable) is (path.stem == "rejoin-worker")
    for folder in (*writable, service["WorkingDirectory"]):
        assert f"`{folder}`" in TEXT


def test_the_variables_start_in_production_once_the_secret_is_set(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for name, value in guide.variables().items():
        monkeypatch.setenv(name, value)
    monkeypatch.setenv("REJOIN_STATE", str(tmp_path))
    with pytest.raises(Exception, match="SECRET_KEY is missing or weak"):
        read_environment()
    monkeypatch.setenv("SECRET_KEY", "k7Vq-93xLmZ0_tRw2YpBn6sHdJf8gQc1eXaUi5oM4vTzKbW9rD")
    read = read_environment()
    assert read.in_production
    assert read.trusted_proxies == 1
    assert read.email["DEFAULT_FROM_EMAIL"] == "rejoin@example.org"
    assert read.email["EMAIL_USE_TLS"] is True
    assert read.database["ENGINE"] == "django.db.backends.postgresql"


def test_nobody_else_on_the_machine_reads_uploaded_files(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path
    name = default_storage.save("photo.jpg", ContentFile(b"a photo"))
    assert (tmp_path / name).stat().st_mode & 0o777 == 0o640


def test_the_proxy_lets_a_whole_load_through_and_waits_longer_than_gunicorn() -> None:
    text = (guide.FOLDER / "nginx.conf").read_text()
    (size,) = re.findall(r"client_max_body_size (\d+)m;", text)
    assert int(size) * 1024 * 1024 > settings.LARGEST_REGISTER_FILE_BYTES * 1.1
    (wait_s,) = re.findall(r"proxy_read_timeout (\d+)s;", text)
    words = readme_arguments()
    assert int(wait_s) > int(words[words.index("--timeout") + 1])


def test_the_table_of_rounds_has_each_of_them() -> None:
    table = TEXT.partition("| round | each | does |")[2].partition("\n\n")[0]
    rows = [row.split("|") for row in table.splitlines()[2:]]
    named = {name.strip(): row[2].strip() for row in rows for name in row[1].split(",")}
    days = {one.name for one in every_round() if one.every.days}
    assert set(named) == {one.name for one in every_round()}
    assert {name for name, each in named.items() if each == "day"} == days


def test_numbers_in_it_are_those_of_the_code() -> None:
    assert f"After {SILENT_FOR_S} s without a sign" in TEXT
    assert f"mails sent {KEPT_FOR.days} days ago" in TEXT
    assert f"A lock ends after {settings.AXES_COOLOFF_TIME * 60:.0f} minutes" in TEXT
    for prefix in (backing_up.SCRATCH, restoring.SCRATCH):
        assert f"`{prefix}…`" in TEXT


def test_files_in_it_are_there_and_readme_leads_to_it() -> None:
    named = set(re.findall(r"sites/project/[\w./*-]+", TEXT))
    assert len(named) >= 5
    assert [name for name in named if not any(CHECKOUT.glob(name.rstrip("/")))] == []
    assert "(sites/project/operators_guide.md)" in (CHECKOUT / "README.md").read_text()
