"""The operator's guide as programs read it: systemd units, nginx a block, a shell the rest."""

import os
import shutil
import socket
import ssl
import stat
import subprocess
import sys
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from http.client import HTTPConnection, HTTPResponse, HTTPSConnection
from http.server import BaseHTTPRequestHandler, HTTPServer, ThreadingHTTPServer
from pathlib import Path
from typing import ClassVar

import psycopg
import pytest

from tests.services_real import operators_guide as guide
from tests.services_real.guides_proxy import HOST, guides_proxy, moved
from tests.services_real.needs import Missing, is_required, wait_until
from tests.services_real.postgres import in_database

pytestmark = pytest.mark.service


def test_systemd_finds_nothing_wrong_with_the_units(tmp_path: Path) -> None:
    program = shutil.which("systemd-analyze")
    if not program:
        assert not is_required(), Missing("systemd-analyze", "systemd")
        return
    for path in guide.UNITS:
        (tmp_path / path.name).write_text(moved(path.read_text(), tmp_path))
    done = subprocess.run(
        [program, "verify", "--man=no", *map(str, sorted(tmp_path.glob("*.service")))],
        capture_output=True,
        text=True,
        check=False,
    )
    ours = [line for line in (done.stdout + done.stderr).splitlines() if "rejoin-" in line]
    assert (done.returncode, ours) == (0, [])
    # A word that is none is seen.
    (tmp_path / "rejoin-wrong.service").write_text(
        "[Service]\nExecStart=/nowhere/at-all\nUmaks=1\n"
    )
    wrong = subprocess.run(
        [program, "verify", "--man=no", str(tmp_path / "rejoin-wrong.service")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert "Umaks" in wrong.stderr
    assert wrong.returncode != 0


class Echo(BaseHTTPRequestHandler):
    """Answers with what it was asked with: headers, and how much came."""

    def do_POST(self) -> None:
        length = int(self.headers["Content-Length"])
        came = len(self.rfile.read(length))
        body = f"{self.headers}came: {came}\n".encode()
        self.send_response(200)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_words: object) -> None:
        """Say nothing."""


@contextmanager
def echo() -> Iterator[int]:
    server = HTTPServer(("127.0.0.1", 0), Echo)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield server.server_port
    finally:
        server.shutdown()
        server.server_close()


def test_nginx_takes_the_block_and_tells_rejoin_who_asks(tmp_path: Path) -> None:
    with echo() as behind, guides_proxy(tmp_path, pages=behind, phones=behind) as (plain, tls):
        asked = HTTPConnection("127.0.0.1", plain, timeout=20)
        asked.request("GET", "/due/?q=1", headers={"Host": HOST})
        answer = asked.getresponse()
        there = answer.headers["Location"]
        assert (answer.status, there) == (301, f"https://{HOST}/due/?q=1")

        def send(size: int) -> tuple[int, str]:
            line = HTTPSConnection(
                "127.0.0.1", tls, timeout=60, context=ssl._create_unverified_context()
            )
            forged = {"Host": HOST, "X-Forwarded-For": "6.6.6.6", "X-Request-ID": "forged-forged"}
            # What is too long is answered before all of it was read.
            with suppress(BrokenPipeError, ConnectionResetError):
                line.request("POST", "/load/", b"x" * size, forged)
            answer = line.getresponse()
            return answer.status, answer.read().decode()

        status, told = send(31 * 1024 * 1024)
        assert status == 200
        assert f"came: {31 * 1024 * 1024}" in told
        assert f"Host: {HOST}" in told
        assert "X-Forwarded-Proto: https" in told
        assert "X-Forwarded-For: 6.6.6.6, 127.0.0.1" in told
        (name,) = [line for line in told.splitlines() if line.startswith("X-Request-ID: ")]
        assert "forged" not in told.partition("X-Request-ID")[2]
        assert send(41 * 1024 * 1024)[0] == 413
    assert f"request={name.partition(': ')[2]}" in (tmp_path / "rejoin.log").read_text()


def test_nginx_takes_new_ciphers_alone_and_leads_no_program_on_from_plain_http(
    tmp_path: Path,
) -> None:
    with echo() as behind, guides_proxy(tmp_path, pages=behind, phones=behind) as (plain, tls):
        asked = HTTPConnection("127.0.0.1", plain, timeout=20)
        asked.request("GET", "/api/v1/me", headers={"Host": HOST})
        assert asked.getresponse().status == 403
        traced = HTTPConnection("127.0.0.1", plain, timeout=20)
        traced.request("TRACE", "/", headers={"Host": HOST})
        assert traced.getresponse().status == 405

        def cipher(offered: str) -> str:
            context = ssl._create_unverified_context()
            context.maximum_version = ssl.TLSVersion.TLSv1_2
            context.set_ciphers(offered)
            with (
                socket.create_connection(("127.0.0.1", tls), timeout=20) as line,
                context.wrap_socket(line, server_hostname=HOST) as sealed,
            ):
                return str((sealed.cipher() or ("",))[0])

        assert cipher("ECDHE+AESGCM").startswith("ECDHE-")
        with pytest.raises(ssl.SSLError):
            cipher("ECDHE+AES+SHA256:!AESGCM")


class Slow(BaseHTTPRequestHandler):
    """Takes what phones send and answers when it may; `served` = what it was given."""

    may_answer = threading.Event()
    served: ClassVar[list[str]] = []

    def do_POST(self) -> None:
        self.rfile.read(int(self.headers["Content-Length"]))
        self.served.append(self.path)
        self.may_answer.wait(30)
        self.send_response(200)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def log_message(self, *_words: object) -> None:
        """Say nothing."""


def test_phones_that_find_others_sending_are_asked_to_come_again_and_pages_go_on(
    tmp_path: Path,
) -> None:
    slow = ThreadingHTTPServer(("127.0.0.1", 0), Slow)
    threading.Thread(target=slow.serve_forever, daemon=True).start()
    ports = {"phones": slow.server_port}
    with echo() as pages, guides_proxy(tmp_path, pages=pages, **ports, is_tls=False) as (_, port):

        def send(path: str) -> HTTPResponse:
            line = HTTPConnection("127.0.0.1", port, timeout=20)
            line.request("POST", path, b"{}", {"Host": HOST})
            return line.getresponse()

        with ThreadPoolExecutor(5) as pool:
            waiting = [pool.submit(send, "/sheet/items/") for _ in range(4)]
            wait_until(lambda: len(Slow.served) == 4, what="four phones")
            fifth = send("/sheet/items/")
            assert (fifth.status, fifth.headers["Retry-After"]) == (503, "3")
            assert send("/sheet/items/more/").status == 200  # another address is one of pages
            assert send("/load/").status == 200
            Slow.may_answer.set()
            assert [each.result().status for each in waiting] == [200] * 4
        assert send("/sheet/items/").status == 200
        slow.shutdown()
        slow.server_close()
        # What takes them in is being started again.
        down = send("/sheet/items/")
        assert (down.status, down.headers["Retry-After"]) == (503, "3")


@pytest.fixture
def machine(tmp_path: Path, postgres_url: str, redis_url: str) -> Iterator[Path]:
    """A machine set up as the guide says, below a folder; without the users and services."""
    for folder in ("etc/rejoin/keys", "var/lib/rejoin/media", "var/backups/rejoin"):
        (tmp_path / folder).mkdir(parents=True, mode=0o750)
    with psycopg.connect(postgres_url, autocommit=True) as server:
        for name in ("rejoin", "elsewhere"):
            server.execute(f"CREATE DATABASE {name}")  # type: ignore[call-overload]
    variables = moved((guide.FOLDER / "rejoin.env").read_text(), tmp_path)
    for before, after in (
        ("replace-me", "k7Vq-93xLmZ0_tRw2YpBn6sHdJf8gQc1eXaUi5oM4vTzKbW9rD"),
        ("postgres:///rejoin", in_database(postgres_url, "rejoin")),
        ("redis://127.0.0.1:6379/0", redis_url),
    ):
        assert variables.count(before) == 1
        variables = variables.replace(before, after)
    (tmp_path / "etc/rejoin/rejoin.env").write_text(variables)
    script = moved((guide.FOLDER / "rejoin").read_text(), tmp_path)
    # The user of the service is not on this machine.
    lines = [line for line in script.splitlines() if "runuser" not in line]
    program = tmp_path / "bin/rejoin"
    program.parent.mkdir()
    program.write_text("\n".join(lines).replace(".venv/bin/python", sys.executable) + "\n")
    program.chmod(0o755)
    yield tmp_path
    with psycopg.connect(postgres_url, autocommit=True) as server:
        for name in ("rejoin", "elsewhere"):
            server.execute(f"DROP DATABASE {name} WITH (FORCE)")  # type: ignore[call-overload]


def typed(machine: Path, line: str, *, given: str = "") -> str:
    done = subprocess.run(
        ["sh", "-euc", line], cwd="/", input=given, capture_output=True, text=True, check=False,
        env={"PATH": f"{machine}/bin:{os.environ['PATH']}", "HOME": str(machine)},
    )  # fmt: skip
    assert done.returncode == 0, f"{line}\n{done.stdout}\n{done.stderr[-3000:]}"
    return done.stdout + done.stderr


def test_its_commands_set_up_upgrade_and_restore_as_printed(
    machine: Path, postgres_url: str
) -> None:
    asked = [line for line in guide.lines() if line.startswith("rejoin ")]
    lost = next(n for n, line in enumerate(asked) if "restore" in line)
    said = {}
    for line in asked[:lost]:
        said[line] = typed(machine, moved(line, machine), given="A-pass-word of 20 letters\n")
    key = machine / "etc/rejoin/keys/backup.key"
    assert stat.S_IMODE(key.stat().st_mode) == 0o600
    assert "pat can sign in as owner" in said["rejoin add_user pat --role owner"]
    assert "encrypted" in said["rejoin backup /var/backups/rejoin/first.tar"]
    assert "Nothing stands in the way" in said["rejoin upgrade --check"]
    assert "Upgraded." in said["rejoin upgrade"]
    for path in (machine / "var/backups/rejoin").iterdir():
        assert path.stat().st_mode & 0o007 == 0, path

    # The machine is lost: another database, an empty folder, the copies of key and variables.
    variables = machine / "etc/rejoin/rejoin.env"
    here, there = (in_database(postgres_url, name) for name in ("rejoin", "elsewhere"))
    variables.write_text(variables.read_text().replace(f"={here}\n", f"={there}\n"))
    for line in asked[lost:]:
        name = "rejoin-2026-11-29T01-50-00Z.tar"
        said[line] = typed(machine, moved(line, machine).replace(name, "first.tar"))
    with psycopg.connect(there) as database:
        assert database.execute("SELECT username FROM sites_user").fetchall() == [("pat",)]
