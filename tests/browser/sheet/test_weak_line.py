"""Whole visits on a line where every sending and every refresh fails at random.

`.ci/long weak_line` plays 300 of them; WEAK_LINE_VISITS sets another number.
"""

import json
import os
import random
import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect
from playwright.sync_api import Error as Gone

from faults.models import Crew, Job, Reading, SearchReading, SheetItem, WalkNote
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs, make_searches
from tests.browser.sheet.phone import go_to
from tests.browser.sheet.test_page import sheet_of
from tests.services_real.chromium import sign_in
from tests.services_real.needs import wait_until

pytestmark = pytest.mark.service

VISITS = int(os.environ.get("WEAK_LINE_VISITS", "8"))
SEED = 20261129
STEPS = 8
FAILS = 0.5
# The sheet tries again after a quarter of a minute: here at once. What is put on the phone's disk
# is noted by this test's own hand, and whenever the sheet is drawn it must list all that it listed.
WATCH = """
window.setTimeout = ((real) => (go, ms) => real(go, ms > 9000 ? 50 : ms))(setTimeout);
AbortSignal.timeout = ((real) => (ms) =>
  real.call(AbortSignal, ms > 9000 ? 4000 : ms))(AbortSignal.timeout);
const noted = (key) => JSON.parse(localStorage.getItem(key) || "null");
const note = (key, change) => localStorage.setItem(key, JSON.stringify(change(noted(key))));
IDBObjectStore.prototype.add = ((real) => function (value) {
  const { id, kind, body } = value;
  if (this.name === "queue") note("noted", (all) => [...(all || []), { id, kind, body }]);
  return real.call(this, value);
})(IDBObjectStore.prototype.add);
document.addEventListener("DOMContentLoaded", () => {
  const place = document.getElementById("sheet");
  if (!place) return;
  new MutationObserver(() => {
    if (!place.querySelector(".which-step")) return;
    const shown = place.querySelectorAll(":scope > details .recorded li").length;
    const most = noted("most") || 0;
    if (shown < most) note("lost", (all) => [...(all || []), [shown, most]]);
    if (shown > most) note("most", () => shown);
  }).observe(place, { childList: true });
});
"""


@dataclass
class WeakLine:
    """What becomes of each request: it gets through, never arrives, or its answer is lost."""

    draws: random.Random
    failed: int = 0
    passed: int = 0
    is_weak: bool = True
    last: dict[str, str] = field(default_factory=dict)

    def __call__(self, route: Route) -> None:
        """Treat one request; one of a page that was left meanwhile has no answer to give."""
        ways = [self._passes]
        if self.is_weak and self.draws.random() < FAILS:
            ways = [
                self._never_arrives,
                self._loses_answer,
                self._overloaded,
                self._late,
                self._swallowed,
            ]
            self.failed += 1
        else:
            self.passed += 1
        try:
            self.draws.choice(ways)(route)
        except Gone:
            with suppress(Gone):
                route.abort()

    def _passes(self, route: Route) -> None:
        answer = route.fetch()
        self.last[route.request.url] = answer.text()
        route.fulfill(response=answer)

    def _never_arrives(self, route: Route) -> None:
        route.abort()

    def _loses_answer(self, route: Route) -> None:
        route.fetch()
        route.abort()

    def _overloaded(self, route: Route) -> None:
        route.fulfill(status=503, body="busy")

    def _swallowed(self, _route: Route) -> None:
        """Nothing comes back, neither an answer nor a failure."""

    def _late(self, route: Route) -> None:
        """A refresh brings what was so a while ago; a sending gets nothing back."""
        old = self.last.get(route.request.url)
        if route.request.method == "GET" and old:
            route.fulfill(status=200, body=old, content_type="application/json")
        else:
            self._loses_answer(route)


@pytest.fixture
def tessa(site_url: str) -> User:
    """The technician."""
    return make.user(Role.TECHNICIAN, username="tessa")


@pytest.fixture
def crew(tessa: User) -> Crew:
    """Hers."""
    return make_jobs.crew(tessa)


@pytest.fixture
def context(browser: Browser, site_url: str, tessa: User) -> Iterator[BrowserContext]:
    """A phone."""
    made = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, service_workers="block"
    )
    sign_in(made, tessa, site_url)
    made.add_init_script(WATCH)
    yield made
    made.close()


def a_visit(crew: Crew) -> Job:
    """Under way, to a wire of five boxes, with two stations beside the dead one."""
    way = make_searches.way(200, 300, 100, 150, 182, joints="ssns")
    for _n in range(2):
        make.station(controller=way.station.controller)
    at = timezone.now()
    started = {"state": "started", "started_at": at, "day": timezone.localdate()}
    return make_jobs.job(fault=way.fault, crew=crew, **started)


def noted(page: Page) -> list[dict[str, Any]]:
    """What was put on the phone's disk, in that order."""
    found: list[dict[str, Any]] = json.loads(
        page.evaluate("() => localStorage.getItem('noted') || '[]'")
    )
    return found


def read_ohms(page: Page, draws: random.Random) -> None:
    """Type a reading at the controller."""
    go_to(page, "arrive")
    page.get_by_label("The meter shows").first.fill(str(draws.randint(20, 90)))
    page.get_by_role("button", name="Keep this reading").first.tap()


def try_neighbour(page: Page, draws: random.Random) -> None:
    """Say whether another station runs."""
    go_to(page, "arrive")
    page.locator(".rows .taps .tap").nth(draws.randint(0, 3)).tap()


def search_on(page: Page, draws: random.Random) -> None:
    """Begin the search, or do what it asks for next."""
    go_to(page, "search")
    begin = page.get_by_role("button", name="Start the search")
    advised = page.locator(".do-next .taps .tap")
    begin.or_(advised.first).first.wait_for()
    (begin if begin.count() else advised.nth(draws.randint(0, advised.count() - 1))).tap()


def take_back(page: Page, _draws: random.Random) -> None:
    """Take the newest thing back where the toast still offers it."""
    undo = page.locator("#toast:not([hidden]) button")
    if undo.count():
        undo.tap()


ACTS: list[Callable[[Page, random.Random], None]] = [read_ohms, try_neighbour, search_on, take_back]


def listed(page: Page) -> int:
    """How many things the sheet lists as recorded."""
    return page.locator("#sheet > details .recorded li").count()


def all_is_listed(page: Page) -> None:
    """Wait until the sheet lists all that is on the phone's disk."""
    page.locator("#sheet > details").last.wait_for()
    wait_until(
        lambda: listed(page) == len(noted(page)),
        what="all that was noted in the list",
        seconds=15,
    )


def act(page: Page, draws: random.Random) -> None:
    """Record something; it is listed at once, and still after the page was opened again."""
    draws.choice(ACTS)(page, draws)
    # A tap is on its way to the disk for some milliseconds.
    page.wait_for_timeout(150)
    all_is_listed(page)
    if draws.random() < 0.15:
        page.reload()
        all_is_listed(page)


def play(context: BrowserContext, job: Job, url: str, draws: random.Random) -> WeakLine:
    """One visit, to its end, and then a line that holds."""
    page = context.new_page()
    line = WeakLine(draws)
    page.route(re.compile("/sheet/(items|data)/"), line)
    page.goto(url + sheet_of(job))
    page.locator(".which-step select").wait_for()
    page.evaluate("localStorage.clear()")
    for _n in range(STEPS):
        act(page, draws)
    line.is_weak = False
    page.evaluate("window.dispatchEvent(new Event('online'))")
    expect(page.locator("#sending")).to_contain_text("Everything is sent", timeout=30_000)
    check(page, job)
    page.reload()
    all_is_listed(page)
    page.unroute_all(behavior="ignoreErrors")
    page.close()
    return line


def check(page: Page, job: Job) -> None:
    """Every thing once, in its order, with all that it was to make; the list never shrank."""
    told = noted(page)
    sent = SheetItem.objects.filter(job=job).order_by("at")
    assert [str(row.pk) for row in sent] == [one["id"] for one in told]
    assert {row.why for row in sent if row.answer != "accepted"} == set()
    ours = {"station__controller__property": job.property}
    tests = SearchReading.objects.filter(search__fault=job.fault)
    assert tests.count() == sum(one["kind"] == "search test" for one in told)
    typed = [one["body"]["value"] for one in told if one["kind"] == "reading"]
    assert (
        list(Reading.objects.filter(**ours).order_by("pk").values_list("value", flat=True)) == typed
    )
    # The last word of each station holds.
    walked = {
        one["body"]["station"]: one["body"]["result"] for one in told if one["kind"] == "walk"
    }
    notes = WalkNote.objects.filter(**ours).order_by("seen_on", "pk")
    assert {note.station_id: note.result for note in notes} == walked
    assert json.loads(page.evaluate("() => localStorage.getItem('lost') || '[]'")) == []


def test_visits_on_a_weak_line_are_kept_once_in_order_and_never_out_of_view(
    context: BrowserContext, crew: Crew, site_url: str
) -> None:
    failed = passed = things = 0
    for n in range(VISITS):
        job = a_visit(crew)
        line = play(context, job, site_url, random.Random(SEED + n))
        failed, passed = failed + line.failed, passed + line.passed
        things += SheetItem.objects.filter(job=job).count()
        # The phone would fetch the sheets of all earlier visits each time.
        Job.objects.filter(pk=job.pk).update(state="withdrawn")
        print(f"{n + 1} visits, {things} things, {failed} requests failed, {passed} passed")
    assert things >= VISITS * STEPS / 2
    assert failed >= VISITS * 2
    assert passed > 0
