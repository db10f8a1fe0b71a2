"""gunicorn, a worker and a beat on real PostgreSQL and Redis, as README runs them."""

from collections.abc import Callable
from pathlib import Path
from time import monotonic

import pytest

from faults.due.services.health import queue_now
from faults.models import Beat
from tests.services_real.gunicorn import gunicorn, status_of
from tests.services_real.needs import wait_until
from tests.services_real.redis_server import StoppableRedis
from tests.services_real.worker import Worker

pytestmark = pytest.mark.service

Start = Callable[..., Worker]
PRODUCTION = {
    "ALLOWED_HOSTS": "rejoin.example.org",
    "SECRET_KEY": "a-Very-long-sEcret-of-the-tests-0123456789-abcdefghijklmnop",
}


def test_they_start_in_production_and_say_that_they_are_well(
    surroundings: dict[str, str],
    celery_worker: Start,
    celery_beat: Start,
    tmp_path: Path,
    own_redis: StoppableRedis,
) -> None:
    env = {
        **surroundings,
        **PRODUCTION,
        "REDIS_URL": own_redis.url,
        "REJOIN_STATE": str(tmp_path),
    }
    celery_worker(**env)
    celery_beat(**env)
    with gunicorn(env, tmp_path / "log") as url:
        assert status_of(f"{url}/healthz") == 200
        own_redis.stop()
        began = monotonic()
        assert status_of(f"{url}/healthz") == 503
        assert monotonic() - began < 5
        own_redis.start()
        wait_until(lambda: status_of(f"{url}/healthz") == 200, what="Well again")


def test_the_owner_sees_workers_queue_and_rounds(
    surroundings: dict[str, str], celery_worker: Start
) -> None:
    from celery import current_app

    current_app.send_task("faults.tidy")
    assert queue_now().length == 1
    assert queue_now().workers == []
    celery_worker(**surroundings)
    wait_until(
        lambda: Beat.objects.filter(name="tidying", ended_at__isnull=False).exists(),
        what="The task that waited",
    )
    queue = queue_now()
    assert (queue.length, len(queue.workers)) == (0, 1)
    assert queue.workers[0].startswith("celery@")
