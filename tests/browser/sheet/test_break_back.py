"""A break that is taken back on the phone lets nothing be found, before the server says so."""

from typing import Any

import pytest
from playwright.sync_api import Browser

pytestmark = pytest.mark.service

STATE = """async ([url, data, queue]) => {
  const { recorded, stateOf } = await import(url);
  const { stages, ofBreak, groundOpened } = stateOf(data, queue);
  const struck = recorded(data, queue).filter((thing) => thing.isVoid).map((thing) => thing.id);
  return [[...stages.values()], ofBreak, groundOpened, struck];
}"""


def sheet(stage: str, *breaks: list[Any]) -> dict[str, Any]:
    """What `stateOf` reads of a sheet with one station."""
    return {
        "job": {"ref": "j", "state": "started", "started_at": ""},
        "stations": [{"row": 1, "stage": stage}],
        "leads_to": {"found": "found"},
        "breaks": list(breaks),
        "items": [],
        "steps": [],
    }


def thing(key: str, kind: str, **body: Any) -> dict[str, Any]:
    """A thing that waits on the phone."""
    at = "2025-06-15T09:00"
    return {"id": key, "kind": kind, "job": "j", "at": at, "state": "waiting", "body": body}


def test_the_stage_and_the_break_in_view(browser: Browser, site_url: str) -> None:
    page = browser.new_page()
    page.goto(site_url + "/static/faults/sheet/print.css")
    url = site_url + "/static/faults/sheet/keep.js"

    def state(data: dict[str, Any], *queue: dict[str, Any]) -> Any:
        return page.evaluate(STATE, [url, data, list(queue)])

    found = thing("a", "found", depth_in=12)
    back = thing("b", "found back", of="a")
    unsent = sheet("reported")
    assert state(unsent, found) == [["found"], {"of_break_sent": "a"}, True, []]
    assert state(unsent, found, back) == [["reported"], None, False, ["a"]]
    # It was sent meanwhile.
    one = [7, "L1", False, True]
    assert state(sheet("found", one), back)[0] == ["scheduled"]
    # Another one stays: the stations stay found.
    assert state(sheet("found", one, [8, "L2", False, True]), back)[0] == ["found"]
    page.close()
