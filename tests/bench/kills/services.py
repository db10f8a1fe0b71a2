"""The whole service: started by the guide's own commands, and kept running.

The commands are those of the unit files (`sites/project/service/`), which the operator's guide has
copied to systemd.
"""

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Collection, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import psycopg

from tests.bench.kills.asking import HOST
from tests.bench.kills.clock import FILE as CLOCK
from tests.bench.kills.keeping import Kept
from tests.services_real import operators_guide as guide
from tests.services_real.guides_proxy import guides_proxy
from tests.services_real.gunicorn import status_of
from tests.services_real.mail_sink import FOLDER as MAIL_SINK
from tests.services_real.needs import ended_with_us, free_port, wait_until
from tests.services_real.postgres import StoppableCluster, in_database, stoppable_cluster
from tests.services_real.redis_server import StoppableRedis, stoppable_redis
from tests.services_real.worker import CHECKOUT

DATABASE = "rejoin"
INSTALLED = "/srv/rejoin/.venv/bin/"
GUIDES_ADDRESS = re.compile(r"127\.0\.0\.1:800\d")
# A commit is acknowledged once the system has its log, which outlives every process; only a power
# cut would need the disk too, and reading all of it back takes a shared machine half a minute.
AS_PROCESSES_DIE = {"fsync": "off"}
SECRET = "a-Very-long-sEcret-of-the-tests-0123456789-abcdefghijklmnop"


def guides_command(unit: str, port: int) -> list[str]:
    """Return the words by which a unit of the guide starts its program, on a port of our own."""
    command = guide.unit(guide.FOLDER / f"{unit}.service")["Service"]["ExecStart"]
    here = command.replace(INSTALLED, f"{Path(sys.executable).parent}/")
    return shlex.split(GUIDES_ADDRESS.sub(f"127.0.0.1:{port}", here))


class Line:
    """The line between the programs and PostgreSQL: `relay` in a process of its own."""

    def __init__(self, target: int) -> None:
        self.port = free_port()
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.bench.kills.relay", str(self.port), str(target)],
            cwd=CHECKOUT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        self._heard()

    def order(self, word: str, seconds: float) -> None:
        """Cut it, or make it silent, for so long; returns when that is over."""
        assert self._process.stdin
        self._process.stdin.write(f"{word} {seconds}\n")
        self._process.stdin.flush()
        self._heard()

    def end(self) -> None:
        """End it."""
        self._process.kill()
        self._process.communicate()

    def _heard(self) -> None:
        assert self._process.stdout
        assert self._process.stdout.readline().startswith(("listens", "was "))


class Service:
    """All of it. `url` = where the proxy answers; `direct` = the database beside the line."""

    def __init__(
        self, folder: Path, database: StoppableCluster, redis: StoppableRedis, settings: str
    ) -> None:
        self.folder, self.database, self.redis = folder, database, redis
        self.line = Line(database.port)
        self.mails, self.media = folder / "mails", folder / "media"
        self.clock = folder / "clock"
        for each in (self.mails, self.media):
            each.mkdir()
        self.direct = in_database(database.url, DATABASE)
        self.url = ""
        self.ports = {"rejoin-web": free_port(), "rejoin-phones": free_port()}
        self.env = {
            "DJANGO_SETTINGS_MODULE": settings,
            "ALLOWED_HOSTS": HOST,
            "SECRET_KEY": SECRET,
            "DATABASE_URL": self.direct.replace(f":{database.port}/", f":{self.line.port}/"),
            "REDIS_URL": redis.url,
            "MEDIA_ROOT": str(self.media),
            "REJOIN_STATE": str(folder / "state"),
            "TRUSTED_PROXIES": "1",
            MAIL_SINK: str(self.mails),
            CLOCK: str(self.clock),
        }
        self.web, self.phones, self.worker, self.beat = (
            Kept(
                name,
                guides_command(name, self.ports.get(name, 0)),
                self.env,
                folder / f"{name}.log",
            )
            for name in ("rejoin-web", "rejoin-phones", "rejoin-worker", "rejoin-beat")
        )

    def _kept(self, name: str) -> Kept:
        words = guides_command(name, self.ports.get(name, 0))
        return Kept(name, words, self.env, self.folder / f"{name}.log")

    def run(self, *words: str, without: Collection[str] = ()) -> str:
        """Run a command of the guide, `rejoin WORDS`, and return what it printed.

        Args:
            without: names of variables that it does not get.

        Raises:
            RuntimeError: it ended with an error.
        """
        return self.python("manage.py", *words, without=without)

    def python(self, *words: str, without: Collection[str] = ()) -> str:
        """Run Python in the service's surroundings, and return what it printed.

        Args:
            without: names of variables that it does not get.

        Raises:
            RuntimeError: it ended with an error.
        """
        env = {**os.environ, **self.env}
        done = subprocess.run(
            [sys.executable, *words],
            cwd=CHECKOUT,
            env={name: value for name, value in env.items() if name not in without},
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode:
            raise RuntimeError(f"{' '.join(words)}\n{done.stdout}{done.stderr[-3000:]}")
        return done.stdout

    def is_well(self) -> bool:
        """Return whether pages, what takes in from phones, database and Redis answer."""
        try:
            return all(
                status_of(f"http://127.0.0.1:{port}/healthz", seconds=5) == 200
                for port in self.ports.values()
            )
        except OSError:
            return False

    def wait_until_well(self) -> None:
        """Return once all is up again."""
        wait_until(self.is_well, what="the service", seconds=120, every=0.2)


@contextmanager
def service(
    folder: Path, migrated: str = "", settings: str = "tests.settings_kill"
) -> Iterator[Service]:
    """Set the service up in a folder, with nothing started but its stores.

    Args:
        migrated: the address of a database whose tables are copied; empty = migrated here, which
            takes a minute.
        settings: the module of the programs' settings.
    """
    with ExitStack() as stack:
        database = stack.enter_context(stoppable_cluster(AS_PROCESSES_DIE))
        redis = stack.enter_context(stoppable_redis())
        made = Service(folder, database, redis, settings)
        stack.callback(made.line.end)
        with psycopg.connect(database.url, autocommit=True) as server:
            server.execute(f"CREATE DATABASE {DATABASE}")
        if migrated:
            _copy(migrated, made.direct)
        else:
            made.run("migrate", "--verbosity", "0")
        yield made


def _copy(there: str, here: str) -> None:
    words = ["pg_dump", "--no-owner", "--no-privileges", there]
    dumped = subprocess.run(words, capture_output=True, check=True).stdout
    into = ["psql", "--quiet", "--set=ON_ERROR_STOP=1", here]
    subprocess.run(into, input=dumped, check=True, stdout=subprocess.DEVNULL)


@contextmanager
def started(made: Service) -> Iterator[None]:
    """Start proxy, pages, worker and beat; none of them outlives the block, nor us."""
    kept = (made.web, made.phones, made.worker, made.beat)
    with ExitStack() as stack:
        for each in kept:
            stack.callback(each.end)
            each.start()
        stop = f"cd {made.folder} && for group in *.pid; do kill -9 -- -$(cat $group); done"
        stack.enter_context(ended_with_us(["sh", "-c", stop], made.folder))
        pages, phones = made.ports.values()
        root = made.folder / "proxy"
        front = guides_proxy(root, pages=pages, phones=phones, is_tls=False)
        _plain, behind_tls = stack.enter_context(front)
        made.url = f"http://127.0.0.1:{behind_tls}"
        made.wait_until_well()
        yield
