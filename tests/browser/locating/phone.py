"""The phone's engine in real Chromium."""

from pathlib import Path
from typing import Any

from playwright.sync_api import Page, Route

from tests.architecture.source import CHECKOUT
from tests.engines.locating.phone_scripts import ANSWER, FOLDER, TELLING

Plain = dict[str, Any]
# No server: the scripts come from the checkout.
ADDRESS = "http://phone.test/"

# Started without waiting for it, so that Python can compute its own answers meanwhile. What cannot
# be searched at all is not told of.
START = f"""(cases) => {{
  const one = {ANSWER};
  const tell = {TELLING};
  const answered = (engine, each) => {{
    const answer = one(engine, each);
    const isTold = !answer.error || answer.error === "Contradiction";
    return isTold ? {{ ...answer, told: tell(engine, each) }} : answer;
  }};
  window.answers = Promise.all([import("/index.js"), import("/telling.js")]).then(
    ([index, telling]) => cases.map((each) => answered({{ ...index, ...telling }}, each)));
}}"""


def open_engine(page: Page) -> None:
    """Open an empty page that can import the engine's scripts, and any by room: "sheet/plan.js"."""

    def answer(route: Route) -> None:
        name = route.request.url.removeprefix(ADDRESS)
        is_script = name.endswith(".js")
        route.fulfill(
            body=_file(name).read_text() if is_script else "<!doctype html>",
            content_type="text/javascript" if is_script else "text/html",
        )

    page.route(f"{ADDRESS}**", answer)
    page.goto(ADDRESS)


def _file(name: str) -> Path:
    room, _, inside = name.rpartition("/")
    return CHECKOUT / f"faults/{room}/static/faults/{room}" / inside if room else FOLDER / inside


def start(page: Page, cases: list[tuple[Plain, Plain]]) -> None:
    """Let the phone compute belief and plan of each search and stand."""
    page.evaluate(START, [list(case) for case in cases])


def answers(page: Page) -> list[Plain]:
    """Return what the phone computed: figures, or the name of what it refused."""
    result: list[Plain] = page.evaluate("() => window.answers")
    return result
