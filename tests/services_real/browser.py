"""Chromium, driven by Playwright's Python package. Needs no settings and no database."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, sync_playwright

from tests.services_real.needs import Missing

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@contextmanager
def chromium() -> Iterator[Browser]:
    """Start Debian's Chromium. Playwright's own download is never used."""
    program = shutil.which("chromium")
    if not program:
        raise Missing("Chromium", "chromium")
    # Playwright's blocking interface runs an event loop in this thread, in which Django would
    # refuse every query.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program, args=FLAGS)
        try:
            yield browser
        finally:
            browser.close()
