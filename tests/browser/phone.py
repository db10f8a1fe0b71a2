"""The phone's engine in real Chromium, and the same questions put to the Python one."""

from pathlib import Path
from typing import Any

from playwright.sync_api import Page, Route

from faults.locating.engines.plain import option_plain, stand_from
from faults.locating.engines.plain_search import search_from
from faults.locating.engines.summary import feet_of

Plain = dict[str, Any]
FOLDER = Path(__file__).parents[2] / "faults" / "locating" / "static" / "faults" / "locating"
# No server: the scripts come from the checkout.
ADDRESS = "http://phone.test/"

# Started without waiting for it, so that Python can compute its own answers meanwhile.
START = """(cases) => {
  const one = (engine, [search, stand]) => {
    try {
      return { ...engine.beliefOf(search), options: engine.nextActions(search, stand) };
    } catch (error) {
      return { error: error.name, words: error.message };
    }
  };
  window.answers = import("/index.js").then((engine) => cases.map((each) => one(engine, each)));
}"""


def open_engine(page: Page, folder: Path = FOLDER) -> None:
    """Open an empty page that can import the engine's scripts."""

    def answer(route: Route) -> None:
        name = route.request.url.removeprefix(ADDRESS)
        is_script = name.endswith(".js")
        route.fulfill(
            body=(folder / name).read_text() if is_script else "<!doctype html>",
            content_type="text/javascript" if is_script else "text/html",
        )

    page.route(f"{ADDRESS}**", answer)
    page.goto(ADDRESS)


def start(page: Page, cases: list[tuple[Plain, Plain]]) -> None:
    """Let the phone compute belief and plan of each search and stand."""
    page.evaluate(START, [list(case) for case in cases])


def answers(page: Page) -> list[Plain]:
    """Return what the phone computed: figures, or the name of what it refused."""
    result: list[Plain] = page.evaluate("() => window.answers")
    return result


def by_python(search: Plain, stand: Plain) -> Plain:
    """Return the same as the phone should."""
    try:
        read = search_from(search)
        belief, feet = read.belief, feet_of(read.belief)
        options = read.plan(stand_from(stand, read.ids))
    except ValueError as error:
        return {"error": type(error).__name__, "words": str(error)}
    return {
        "legs": belief.by_leg.tolist(),
        "splices": belief.splice.tolist(),
        "outside": {cause.value: mass for cause, mass in belief.outside.items()},
        "feet": feet and {"low": feet.low, "middle": feet.middle, "high": feet.high},
        "options": [option_plain(option, read.ids) for option in options],
    }
