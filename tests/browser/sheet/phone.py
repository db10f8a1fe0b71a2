"""A phone in a field: a browser with a profile of its own, that can lose signal and be killed."""

import os
import shutil
import signal
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from django.urls import reverse
from playwright.sync_api import Browser, BrowserContext, Page

from sites.models import User
from tests.services_real.browser import FLAGS
from tests.services_real.chromium import sign_in
from tests.services_real.needs import wait_until

A_DAY_S = 86_400


@dataclass
class Phone:
    """One phone; what it keeps outlives its browser."""

    browser: Browser
    folder: Path
    url: str
    user: User
    width: int = 390
    height: int = 844
    context: BrowserContext | None = field(default=None)

    def switch_on(self, *, has_signal: bool = True) -> Page:
        """Start the browser and return a page; a signed-in user stays signed in."""
        self.context = self.browser.browser_type.launch_persistent_context(
            str(self.folder),
            executable_path=shutil.which("chromium"),
            args=FLAGS,
            viewport={"width": self.width, "height": self.height},
            has_touch=True,
            is_mobile=True,
        )
        self.context.set_offline(not has_signal)
        sign_in(self.context, self.user, self.url)
        page = self.context.pages[0]
        page.set_default_timeout(15_000)
        return page

    def lose_signal(self) -> None:
        """Walk behind the hill."""
        assert self.context is not None
        self.context.set_offline(True)

    def take_along(self, sheet: str) -> Page:
        """Start it, wait until it keeps this sheet, lose signal and start the visit."""
        page = self.switch_on()
        page.goto(self.url + reverse("faults:sheets"))
        wait_until_kept(page, sheet)
        self.lose_signal()
        page.goto(self.url + sheet)
        page.get_by_role("button", name="Start", exact=True).tap()
        return page

    def find_signal(self) -> None:
        """Come back."""
        assert self.context is not None
        self.context.set_offline(False)

    def kill(self) -> None:
        """Let the battery run out: no process gets to say good-bye."""
        for number in _processes_of(self.folder):
            os.kill(number, signal.SIGKILL)
        while _processes_of(self.folder):
            time.sleep(0.05)
        for lock in self.folder.glob("Singleton*"):
            lock.unlink(missing_ok=True)
        self.context = None

    def switch_off(self) -> None:
        """Close the browser as one does."""
        if self.context is not None:
            self.context.close()
            self.context = None


def _processes_of(folder: Path) -> list[int]:
    """Return the processes of the browser whose profile is this folder, and no other's."""
    mark = f"--user-data-dir={folder}".encode()
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        try:
            if mark in (place / "cmdline").read_bytes().split(b"\0"):
                found.append(int(place.name))
        except OSError:
            continue
    return found


@contextmanager
def a_phone(browser: Browser, url: str, user: User, **how: int) -> Iterator[Phone]:
    """Give a phone whose profile goes when the test ends."""
    folder = Path(tempfile.mkdtemp(prefix="rejoin-phone-"))
    phone = Phone(browser, folder, url, user, **how)
    try:
        yield phone
    finally:
        if phone.context is not None:
            phone.switch_off()
        shutil.rmtree(folder, ignore_errors=True)


def wait_until_kept(page: Page, path: str) -> None:
    """Wait until the phone keeps a page and the worker serves it."""
    asked = """async (path) => Boolean(navigator.serviceWorker.controller)
        && Boolean(await caches.match(path))"""
    wait_until(lambda: page.evaluate(asked, path), what=f"{path} on the phone", seconds=20)


def wait_until_looked(page: Page) -> None:
    """Wait until the phone has noted what this person saw: later changes are told against it."""
    asked = """async () => {
        const [{ name }] = await indexedDB.databases();
        const request = indexedDB.open(name);
        await new Promise((opened) => { request.onsuccess = opened; });
        const keys = request.result.transaction("kept").objectStore("kept").getAllKeys();
        await new Promise((read) => { keys.onsuccess = read; });
        request.result.close();
        return keys.result.some((key) => String(key).startsWith("looked "));
    }"""
    wait_until(lambda: page.evaluate(asked), what="what was seen on the phone", seconds=20)


def is_kept(page: Page, path: str) -> bool:
    """Return whether the phone keeps a page."""
    return bool(page.evaluate("path => caches.match(path).then(Boolean)", path))


def go_to(page: Page, step: str) -> None:
    """Open a step of a sheet."""
    page.locator(".which-step select").select_option(step)
