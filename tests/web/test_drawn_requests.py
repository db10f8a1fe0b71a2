"""Every address with drawn queries and forms, as each role and as nobody: none trips us.

What is refused writes nothing. More: REJOIN_DRAWN_REQUESTS=20000, or `.ci/long forms`.
"""

import logging
import os
import sys
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.utils.timezone import localdate
from pytest_django import DjangoDbBlocker

from sites.models import User
from tests import make
from tests.cast import OURS, THEIRS, make_cast, make_corner
from tests.databases import rows_for_a_module
from tests.web.addresses import every_address, samples_for
from tests.web.drawn import Drawn
from tests.web.drawn_answers import Asker

pytestmark = pytest.mark.django_db
REQUESTS = int(os.environ.get("REJOIN_DRAWN_REQUESTS", "300"))
SEED = int(os.environ.get("REJOIN_DRAWN_SEED", "20261130"))


@pytest.fixture(autouse=True)
def _no_log() -> Iterator[None]:
    """Each refusal would write lines, by the thousand."""
    logging.disable(logging.CRITICAL)
    yield
    logging.disable(logging.NOTSET)


@pytest.fixture(scope="module")
def scene(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker
) -> Iterator[tuple[Asker, dict[str, User]]]:
    """Whoever asks, and every address with something behind it."""
    with rows_for_a_module(django_db_blocker):
        ours = make_corner(OURS)
        users = make_cast(ours, make_corner(THEIRS))
        samples = samples_for(ours, starter=users.owner)
        yield Asker(every_address(), samples, localdate()), users.everybody()


def test_no_request_trips_us_and_what_is_refused_writes_nothing(
    scene: tuple[Asker, dict[str, User]],
) -> None:
    asker, people = scene
    asker.read_the_pages({"owner": people["owner"]})
    totals = asker.ask(REQUESTS, SEED, people)
    sys.stdout.write("\n".join(["", *totals.lines(), ""]))
    assert totals.wrong == {}
    assert sum(totals.answers.values()) == REQUESTS


class Answering(Client):
    """A browser that a page of the test's own answers."""

    def __init__(self, page: Callable[[], HttpResponse]) -> None:
        super().__init__()
        self.page = page

    def generic(self, *_args: Any, **_given: Any) -> Any:
        """Ask the page, whatever is sent."""
        return self.page()


def _breaks() -> HttpResponse:
    raise ValueError("no number")


def _writes(status: int) -> Callable[[], HttpResponse]:
    def page() -> HttpResponse:
        make.client(name="half written")
        return HttpResponse(status=status)

    return page


@pytest.mark.parametrize(
    ("page", "wrong"),
    [
        (_breaks, 1),
        (lambda: HttpResponse(status=500), 1),
        (lambda: HttpResponse(status=422), 0),
        (_writes(422), 1),
        (_writes(399), 0),
        (_writes(400), 1),
    ],
    ids=["raises", "500", "refused", "refused but written", "taken", "the first refusal"],
)
def test_what_trips_us_and_what_is_written_on_a_refusal_is_found(
    scene: tuple[Asker, dict[str, User]], page: Callable[[], HttpResponse], wrong: int
) -> None:
    asker = Asker([], {}, localdate())
    asker.ask(0, SEED, {})
    asker.send(Answering(page), Drawn("POST", "/x/"), "1 of seed 1, owner, sites:x")
    assert len(asker.totals.wrong) == wrong
    assert "POST /x/" in "".join(asker.totals.wrong.values()) or not wrong
