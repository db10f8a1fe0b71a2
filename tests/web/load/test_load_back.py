"""A load that is taken back, and files that nobody understood."""

from typing import Any

import pytest
from django.urls import reverse

from sites.kernel.engines.roles import Role
from sites.models import Station, User
from sites.runs import services as runs
from tests import make
from tests.web.load.test_load import bring, browser, page, send

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def at_once(monkeypatch: pytest.MonkeyPatch, settings: Any, tmp_path: Any) -> None:
    """Runs start at once, in this thread; files go to a folder of the test."""
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr(runs, "_set_off", runs.execute_run)


@pytest.fixture
def loader() -> User:
    return make.user(Role.DISPATCHER)


def test_a_file_in_which_nothing_is_recognised_shows_its_columns_and_values(
    loader: User, django_capture_on_commit_callbacks: Any
) -> None:
    upload = bring(loader, django_capture_on_commit_callbacks, "Foo,Bar\nabc,17\n")
    assert "No sheet was recognised" in browser(loader).get(page(upload)).content.decode()
    shown = browser(loader).get(page(upload, "load_match")).content.decode()
    assert "say above what this sheet is" in shown
    assert "abc" in shown


def test_a_load_is_taken_back_or_says_what_was_built_on_it(
    loader: User, django_capture_on_commit_callbacks: Any
) -> None:
    run = django_capture_on_commit_callbacks
    upload = bring(loader, run)
    assert "load_take_back" not in browser(loader).get(page(upload)).content.decode()
    digest = upload.preview_run.result["digest"] if upload.preview_run else ""
    send(loader, run, upload, "load_confirm", digest=digest)
    shown = browser(loader).get(page(upload)).content.decode()
    assert page(upload, "load_take_back") in shown
    listed = browser(loader).get(reverse("faults:load")).content.decode()
    assert "loaded: 1 added, 0 changed" in listed
    station = Station.objects.get()
    station.name = "Lawn"
    station.save()
    refused = send(loader, run, upload, "load_take_back").content.decode()
    assert "Nothing was taken back." in refused
    assert "station: A:1" in refused
    assert Station.objects.count() == 1
    station.name = ""
    station.save()
    done = send(loader, run, upload, "load_take_back").content.decode()
    assert "the register stands as it was before this load" in done
    assert page(upload, "load_take_back") not in done
    assert not Station.objects.exists()
    assert "taken back on" in browser(loader).get(reverse("faults:load")).content.decode()
    # Once more: nothing is left of it.
    again = send(loader, run, upload, "load_take_back").content.decode()
    assert "Nothing of this load is left to take back." in again
