"""Point this process at the real PostgreSQL and Redis that a real worker uses too."""

import os
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from typing import Any

import pytest
from celery import current_app
from django.core.cache import caches
from django.core.management import call_command
from django.db import connections
from environs import Env
from pytest_django import DjangoDbBlocker

from tests.databases import create_from_template
from tests.services_real.worker import Worker

Start = Callable[..., AbstractContextManager[Worker]]
NAME = "rejoin_tasks"


@pytest.fixture(scope="package")
def shared_database(postgres_url: str, django_db_blocker: DjangoDbBlocker) -> Iterator[str]:
    """The address of a migrated database that tests and workers share."""
    with django_db_blocker.unblock():
        url = create_from_template(postgres_url, NAME)
        with _connected_to(url):
            yield url


@contextmanager
def _connected_to(url: str) -> Iterator[None]:
    """Let the default connection lead to another database for a while."""
    before = connections.settings["default"]
    connections["default"].close()
    connections.settings["default"] = {**_options(url), "CONN_MAX_AGE": 0}
    del connections["default"]
    try:
        yield
    finally:
        connections["default"].close()
        connections.settings["default"] = before
        del connections["default"]


def _options(url: str) -> dict[str, Any]:
    os.environ["REJOIN_TESTS_URL"] = url
    plain: dict[str, Any] = Env().dj_db_url("REJOIN_TESTS_URL")
    return connections.configure_settings({"default": plain})["default"]


@pytest.fixture
def surroundings(shared_database: str, redis_url: str, settings: Any) -> Iterator[dict[str, str]]:
    """The environment of a worker; this process uses the same database, queue and cache."""
    settings.REDIS_URL = redis_url
    settings.CACHES = {
        "default": {
            "BACKEND": "django.core.cache.backends.redis.RedisCache",
            "LOCATION": redis_url,
        }
    }
    before = current_app.conf.broker_url
    current_app.conf.update(broker_url=redis_url)
    yield {"DATABASE_URL": shared_database, "REDIS_URL": redis_url}
    call_command("flush", interactive=False, verbosity=0)
    caches["default"].clear()
    current_app.conf.update(broker_url=before)
