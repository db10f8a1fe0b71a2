"""The demo's calendars and mails lead back to the port on which it is served."""

from typing import Any

import pytest
from django.core.management import call_command

from faults.due.services.calendars.links import make_calendar_link
from reports.management.commands import demo
from sites.kernel.engines.roles import Role
from tests import make

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("site_url", "leads_to"),
    [("", "http://127.0.0.1:8123/"), ("https://rejoin.example.org", "https://rejoin.example.org/")],
)
def test_the_port_of_the_demo_is_in_its_calendar_links(
    site_url: str, leads_to: str, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.DEMO, settings.SITE_URL = True, site_url or settings.SITE_URL
    monkeypatch.setenv("SITE_URL", site_url)
    monkeypatch.setattr(demo, "migrate_or_copy", lambda: None)
    monkeypatch.setattr(demo.Command, "_load_once", lambda self: None)
    monkeypatch.setattr(demo.Command, "_print_summary", lambda self: None)
    served: list[str] = []
    monkeypatch.setattr(demo, "call_command", lambda name, *args, **how: served.extend(args))
    call_command("demo", port=8123)
    assert served == ["127.0.0.1:8123"]
    link = make_calendar_link(user=make.user(Role.DISPATCHER), at=make.NOW)
    assert link.startswith(leads_to)
