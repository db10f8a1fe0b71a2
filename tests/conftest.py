"""Fixtures that many tests share: the cast, static files, and real services."""

import os
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack
from pathlib import Path
from typing import Any, TypeVar

import pytest
from django.core.management import call_command
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, Page, expect
from pytest_django import DjangoDbBlocker

from sites.kernel.views.limits import reset_limits
from tests.cast import OURS, THEIRS, Cast, Corner, make_cast, make_corner
from tests.databases import drop_test_database, make_test_database
from tests.emptied import empty_before_each_flush
from tests.examples import examples
from tests.services_real.browser import chromium
from tests.services_real.chromium import site
from tests.services_real.khal import Khal, khal
from tests.services_real.needs import Missing, is_required
from tests.services_real.nginx import nginx
from tests.services_real.postgres import cluster
from tests.services_real.redis_server import StoppableRedis, redis_server, stoppable_redis
from tests.services_real.translating import xgettext_program
from tests.services_real.worker import Worker, beat, worker

T = TypeVar("T")
FILES_ON_ONE_PROCESS = 2

# Two shared cores make single examples slow now and then; that is no failure. In CI the same
# examples come each time, so that a red run can be repeated.
settings.register_profile(
    "suite",
    deadline=None,
    derandomize=bool(os.environ.get("CI")),
    database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    max_examples=examples(100),
)
settings.load_profile("suite")
empty_before_each_flush()


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Use every core for the suite, and one process for a file or two: workers cost seconds."""
    files = [Path(arg.split("::")[0]).is_file() for arg in config.args]
    return 0 if all(files) and len(files) <= FILES_ON_ONE_PROCESS else os.cpu_count() or 1


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put last what holds a bar in seconds: the other processes are done by then, or nearly."""
    items.sort(key=lambda item: "alone" in item.keywords)


@pytest.fixture(scope="session")
def django_db_setup(
    django_test_environment: None, django_db_blocker: DjangoDbBlocker
) -> Iterator[None]:
    """Copy a migrated database in place of migrating one for each process."""
    with django_db_blocker.unblock():
        make_test_database()
    yield
    with django_db_blocker.unblock():
        drop_test_database()


@pytest.fixture(autouse=True)
def no_counts() -> None:
    """Clear the cache, so that no test meets another's rate limit."""
    reset_limits()


@pytest.fixture
def ours(db: None) -> Corner:
    """Our client's tiny register."""
    return make_corner(OURS)


@pytest.fixture
def theirs(db: None) -> Corner:
    """The other client's tiny register."""
    return make_corner(THEIRS)


@pytest.fixture
def cast(ours: Corner, theirs: Corner) -> Cast:
    """One user for each role, the other client's user, and a stranger."""
    return make_cast(ours, theirs)


@pytest.fixture(scope="session")
def collected_static() -> None:
    """Collect static files once, hashed and compressed as in production."""
    call_command("collectstatic", interactive=False, verbosity=0)


def _start(stack: ExitStack, service: Callable[..., AbstractContextManager[T]], *args: Any) -> T:
    try:
        return stack.enter_context(service(*args))
    except Missing as missing:
        if is_required():
            pytest.fail(str(missing), pytrace=False)
        pytest.skip(str(missing))


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """The address of a PostgreSQL cluster that is ours alone."""
    with ExitStack() as stack:
        yield _start(stack, cluster)


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    """The address of a Redis server that is ours alone."""
    with ExitStack() as stack:
        yield _start(stack, redis_server)


@pytest.fixture
def start_nginx() -> Iterator[Callable[[str], int]]:
    """Start nginx in front of an address; returns its port."""
    with ExitStack() as stack:
        yield lambda behind: _start(stack, nginx, behind)


@pytest.fixture
def celery_worker(
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Callable[..., Worker]]:
    """Start a real worker: `celery_worker(DATABASE_URL=..., REDIS_URL=...)`, as often as wanted."""
    folder = tmp_path_factory.mktemp("worker")
    with ExitStack() as stack:
        yield lambda **env: _start(
            stack, worker, {"REJOIN_STATE": str(folder), **env}, folder / "log"
        )


@pytest.fixture
def celery_beat(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., Worker]]:
    """Start a real beat with a state folder of its own, as often as wanted."""
    with ExitStack() as stack:

        def start(**env: str) -> Worker:
            folder = tmp_path_factory.mktemp("beat")
            surroundings = {"REJOIN_STATE": str(folder), **env}
            return _start(stack, beat, surroundings, folder / "log")

        yield start


@pytest.fixture
def own_redis() -> Iterator[StoppableRedis]:
    """A Redis server that the test may stop and start again."""
    with ExitStack() as stack:
        yield _start(stack, stoppable_redis)


@pytest.fixture
def khal_in() -> Iterator[Callable[[str], Khal]]:
    """A calendar program that is not ours: `khal_in("America/Denver")`."""
    with ExitStack() as stack:
        yield lambda zone: _start(stack, khal, zone)


@pytest.fixture(scope="session")
def xgettext() -> Iterator[str]:
    """GNU gettext, which gathers the texts of the code."""
    with ExitStack() as stack:
        yield _start(stack, xgettext_program)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium, started once."""
    # Two lanes of tests share two cores: what is looked for may come later than on a quiet machine.
    expect.set_options(timeout=15_000)
    with ExitStack() as stack:
        yield _start(stack, chromium)


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page in a browser context of its own: no cookie, no cache from another test."""
    context = browser.new_context()
    yield context.new_page()
    context.close()


@pytest.fixture
def site_url(transactional_db: None, collected_static: None) -> Iterator[str]:
    """The address of this process's pages, served with the static files of production."""
    with site() as url:
        yield url
