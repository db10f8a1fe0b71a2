"""Rejoin refuses to start wrong, and says which value is wrong."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.test import Client
from django.urls import get_resolver

from sites.project.environment import LOCAL_HOSTS, read_environment
from tests.architecture.source import CHECKOUT

STRONG = "k7Vq-93xLmZ0_tRw2YpBn6sHdJf8gQc1eXaUi5oM4vTzKbW9rD"
NAMES = (
    "ALLOWED_HOSTS",
    "BACKUP_FOLDER",
    "BACKUP_KEEP_DAYS",
    "BACKUP_KEEP_WEEKS",
    "BACKUP_KEY_FILE",
    "CENTRAL_FOLDER",
    "CENTRAL_FOLDER_USER",
    "DATABASE_URL",
    "DEBUG",
    "EMAIL_URL",
    "ERROR_MAIL_TO",
    "HOOKS_MAY_REACH",
    "HOOKS_WITHOUT_TLS",
    "LOG_JSON",
    "MEDIA_ROOT",
    "METRICS_TOKEN",
    "REDIS_URL",
    "REJOIN_DEMO",
    "REJOIN_STATE",
    "SECRET_KEY",
    "TRUSTED_PROXIES",
)
PRODUCTION = {"ALLOWED_HOSTS": "water.example.org", "SECRET_KEY": STRONG}


@pytest.fixture(autouse=True)
def bare_environment(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Nothing is set but a state folder that is not the checkout's."""
    for name in NAMES:
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("REJOIN_STATE", str(tmp_path / "state"))


def _set(monkeypatch: pytest.MonkeyPatch, **values: str) -> None:
    for name, value in values.items():
        monkeypatch.setenv(name, value)


def test_with_nothing_set_only_this_machine_is_served(tmp_path: Path) -> None:
    read = read_environment()
    assert (read.in_production, read.debug, read.demo) == (False, False, False)
    assert read.allowed_hosts == LOCAL_HOSTS
    assert read.database["NAME"] == str(tmp_path / "state" / "rejoin.sqlite3")


def test_a_local_secret_is_strong_kept_and_private(tmp_path: Path) -> None:
    first, second = read_environment().secret_key, read_environment().secret_key
    assert first == second
    assert len(first) >= 50
    assert (tmp_path / "state" / "secret_key").stat().st_mode & 0o077 == 0


def test_a_safe_production_start_is_accepted(monkeypatch: pytest.MonkeyPatch) -> None:
    _set(monkeypatch, **PRODUCTION)
    read = read_environment()
    assert (read.in_production, read.allowed_hosts) == (True, ["water.example.org"])


@pytest.mark.parametrize(
    ("values", "named"),
    [
        ({"SECRET_KEY": ""}, "SECRET_KEY"),
        ({"SECRET_KEY": STRONG[:49]}, "SECRET_KEY"),
        ({"SECRET_KEY": "ab" * 30}, "SECRET_KEY"),
        ({"ALLOWED_HOSTS": "*"}, "ALLOWED_HOSTS"),
        ({"ALLOWED_HOSTS": "water.example.org, *"}, "ALLOWED_HOSTS"),
        ({"DEBUG": "1"}, "DEBUG"),
        ({"REJOIN_DEMO": "1"}, "REJOIN_DEMO"),
    ],
)
def test_an_unsafe_production_start_is_refused_by_name(
    monkeypatch: pytest.MonkeyPatch, values: dict[str, str], named: str
) -> None:
    _set(monkeypatch, **{**PRODUCTION, **values})
    with pytest.raises(ImproperlyConfigured) as refusal:
        read_environment()
    problems = [line for line in str(refusal.value).splitlines() if line.startswith("- ")]
    assert len(problems) == 1
    assert named in problems[0]


def test_all_unsafe_values_are_named_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    _set(monkeypatch, ALLOWED_HOSTS="*", DEBUG="1", REJOIN_DEMO="1")
    with pytest.raises(ImproperlyConfigured) as refusal:
        read_environment()
    assert str(refusal.value).count("\n- ") == 4


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("DEBUG", "perhaps"),
        ("REJOIN_DEMO", "perhaps"),
        ("DATABASE_URL", "nonsense://here"),
        ("DATABASE_URL", "nonsense"),
        ("EMAIL_URL", "pigeon://loft"),
        ("HOOKS_MAY_REACH", "10.0.0.0/8,the office"),
        ("HOOKS_MAY_REACH", "10.1.0.0/8"),
        ("HOOKS_WITHOUT_TLS", "perhaps"),
        ("CENTRAL_FOLDER", "/var/lib/rejoin/central"),
        ("CENTRAL_FOLDER_USER", "pat"),
        ("METRICS_TOKEN", STRONG[:31]),
        ("ERROR_MAIL_TO", "ops@example.org,the office"),
        ("METRICS_TOKEN", STRONG[:31] + "é"),
        ("METRICS_TOKEN", STRONG[:31] + " x"),
    ],
)
def test_a_value_that_cannot_be_read_stops_the_start_by_name(
    monkeypatch: pytest.MonkeyPatch, name: str, value: str
) -> None:
    _set(monkeypatch, **{name: value})
    with pytest.raises(ImproperlyConfigured, match=name):
        read_environment()


@pytest.mark.parametrize(
    ("given", "debug", "told"),
    [
        ("", "0", None),
        (" , ", "0", None),
        ("ops@example.org, b@example.org", "0", ["ops@example.org", "b@example.org"]),
        ("ops@example.org", "1", None),
    ],
)
def test_errors_are_mailed_to_whom_is_named_and_not_while_developing(
    monkeypatch: pytest.MonkeyPatch, given: str, debug: str, told: list[str] | None
) -> None:
    _set(monkeypatch, ERROR_MAIL_TO=given, DEBUG=debug)
    read = read_environment().error_mail
    assert (read and read.to) == told


def test_a_token_of_32_characters_will_do(monkeypatch: pytest.MonkeyPatch) -> None:
    _set(monkeypatch, METRICS_TOKEN=STRONG[:32])
    assert read_environment().metrics_token == STRONG[:32]


def test_a_refused_start_changes_nothing_on_disk(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    _set(monkeypatch, ALLOWED_HOSTS="*")
    with pytest.raises(ImproperlyConfigured):
        read_environment()
    assert not (tmp_path / "state").exists()


def _manage(*words: str, **values: str) -> "subprocess.CompletedProcess[str]":
    surroundings = {**os.environ, "DJANGO_SETTINGS_MODULE": "sites.project.settings", **values}
    surroundings.pop("DJANGO_ALLOW_ASYNC_UNSAFE", None)  # set by a browser test before this one
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=CHECKOUT,
        env=surroundings,
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_command_line_ends_with_the_refusal() -> None:
    done = _manage("check", ALLOWED_HOSTS="water.example.org")
    assert done.returncode != 0
    assert "SECRET_KEY is missing or weak" in done.stderr


def test_a_production_start_passes_djangos_own_deployment_checks() -> None:
    done = _manage("check", "--deploy", "--fail-level", "ERROR", **PRODUCTION)
    assert done.returncode == 0, done.stderr


def test_the_tables_pass_djangos_checks_for_this_database() -> None:
    done = _manage("check", "--database", "default", "--fail-level", "ERROR")
    assert done.returncode == 0, done.stderr


SIGN_IN = "from django.urls import resolve; print(resolve('/demo/sign-in/').route)"


def test_demo_addresses_exist_in_the_demo_only() -> None:
    assert "demo/" in _manage("shell", "--no-imports", "-c", SIGN_IN, REJOIN_DEMO="1").stdout
    assert "Resolver404" in _manage("shell", "--no-imports", "-c", SIGN_IN).stderr


def test_no_address_of_the_suite_is_the_demos() -> None:
    routes = [str(each.pattern) for each in get_resolver().url_patterns]
    assert [route for route in routes if route.startswith("demo")] == []


@pytest.mark.django_db
@pytest.mark.usefixtures("collected_static")
def test_outside_the_demo_its_sign_in_is_nowhere() -> None:
    assert Client().post("/demo/sign-in/", {"role": "owner"}).status_code == 404


@pytest.mark.parametrize(("given", "read"), [("", 0), ("0", 0), ("1", 1), ("9", 9)])
def test_trusted_proxies_are_a_whole_number(
    given: str, read: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    if given:
        _set(monkeypatch, TRUSTED_PROXIES=given)
    assert read_environment().trusted_proxies == read


@pytest.mark.parametrize("given", ["-1", "10", "yes", "1.5", "127.0.0.1"])
def test_another_number_of_proxies_stops_the_start(
    given: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    _set(monkeypatch, TRUSTED_PROXIES=given)
    with pytest.raises(ImproperlyConfigured, match="TRUSTED_PROXIES"):
        read_environment()


@pytest.mark.parametrize(
    ("name", "given", "right"),
    [
        ("BACKUP_KEEP_DAYS", "0", False),
        ("BACKUP_KEEP_DAYS", "1", True),
        ("BACKUP_KEEP_DAYS", "3660", True),
        ("BACKUP_KEEP_DAYS", "3661", False),
        ("BACKUP_KEEP_DAYS", "a few", False),
        ("BACKUP_KEEP_WEEKS", "-1", False),
        ("BACKUP_KEEP_WEEKS", "0", True),
        ("BACKUP_KEEP_WEEKS", "520", True),
        ("BACKUP_KEEP_WEEKS", "521", False),
        ("BACKUP_FOLDER", "backups", False),
        ("BACKUP_FOLDER", "/var/backups/rejoin", True),
        ("BACKUP_KEY_FILE", "./key", False),
        ("BACKUP_KEY_FILE", "/etc/rejoin/backup.key", True),
    ],
)
def test_settings_of_backups_are_right_or_stop_the_start_by_name(
    monkeypatch: pytest.MonkeyPatch, name: str, given: str, right: bool
) -> None:
    _set(monkeypatch, **{name: given})
    if not right:
        with pytest.raises(ImproperlyConfigured, match=name):
            read_environment()
        return
    read = read_environment().backups
    short = name.removeprefix("BACKUP_").lower()
    assert str(getattr(read, short)) == given


def test_without_settings_of_backups_there_is_no_schedule() -> None:
    read = read_environment().backups
    assert (read.folder, read.key_file, read.keep_days, read.keep_weeks) == (None, None, 14, 8)


def test_a_folder_of_lists_is_a_whole_path_with_a_user(monkeypatch: pytest.MonkeyPatch) -> None:
    _set(monkeypatch, CENTRAL_FOLDER="central", CENTRAL_FOLDER_USER="pat")
    with pytest.raises(ImproperlyConfigured, match="whole path"):
        read_environment()
    _set(monkeypatch, CENTRAL_FOLDER="/var/lib/rejoin/central")
    read = read_environment().central
    assert (str(read.folder), read.user) == ("/var/lib/rejoin/central", "pat")
    monkeypatch.delenv("CENTRAL_FOLDER")
    monkeypatch.delenv("CENTRAL_FOLDER_USER")
    assert read_environment().central.folder is None
