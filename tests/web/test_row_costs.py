"""A row of a table costs its own cells: nothing that its page could work out once."""

from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any
from unittest.mock import patch

import django_tables2.utils
import pytest
from django.template.base import Node
from django.test import Client
from django.urls.resolvers import URLResolver
from django.utils import translation

from sites.kernel.engines.roles import Role
from sites.stopgaps.services.spells import rebuild_spells
from tests import make, make_jobs
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db

LISTS = ("/", "/properties/", "/controllers/", "/stations/", "/stopgaps/", "/faults/", "/jobs/")
COUNTED = (
    (Node, "render_annotated"),
    (URLResolver, "_reverse_with_prefix"),
    (django_tables2.utils, "signature"),
    (translation._trans, "gettext"),
)
# Words of a row: its choices, and sentences such as "or before". Home has the most.
MOST_WORDS_A_ROW = 18


@contextmanager
def counted() -> Iterator[Counter[str]]:
    """Count what a page does beside its queries, which tests/web/test_query_counts.py holds."""
    done: Counter[str] = Counter()

    def counting(whole: Any, name: str) -> Any:
        def also(*args: Any, **kwargs: Any) -> Any:
            done[name] += 1
            return whole(*args, **kwargs)

        return also

    with ExitStack() as stack:
        for owner, name in COUNTED:
            stack.enter_context(patch.object(owner, name, counting(getattr(owner, name), name)))
        yield done


def _rows(count: int) -> None:
    for _ in range(count):
        station = make.station()
        make.stopgap(station=station, device=make.device(property=station.controller.property))
        rebuild_spells([station.pk])
        make_jobs.job(fault=make.fault(station))


def _cost(browser: Client, url: str) -> Counter[str]:
    browser.get(url)
    with counted() as done:
        answer = browser.get(url)
    assert answer.status_code == 200
    return done


@pytest.mark.parametrize("url", LISTS)
def test_a_row_renders_no_template_and_works_out_no_address(url: str) -> None:
    browser = signed_in(make.user(Role.OWNER))
    _rows(12)  # home lists the ten worst properties beside its table
    few = _cost(browser, url)
    _rows(13)
    many = _cost(browser, url)
    assert few["render_annotated"] > 100  # what is counted is what renders
    words = many.pop("gettext") - few.pop("gettext")
    assert many == few
    assert 0 <= words <= 13 * MOST_WORDS_A_ROW
