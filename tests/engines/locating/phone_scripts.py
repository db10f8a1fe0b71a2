"""The phone's scripts in this process, without a browser: an interpreter of JavaScript alone."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import quickjs

from tests.architecture.source import CHECKOUT

FOLDER = CHECKOUT / "faults/locating/static/faults/locating"
# How a sheet shows figures, and says what the engine tells.
SHOWN = [
    CHECKOUT / f"faults/sheet/static/faults/sheet/{name}.js" for name in ("shown", "told", "why")
]

# The engine's answer to one search and stand, as `by_python` writes the server's.
ANSWER = """(engine, [search, stand]) => {
  try {
    return { ...engine.beliefOf(search), options: engine.nextActions(search, stand) };
  } catch (error) {
    return { error: error.name, words: error.message };
  }
}"""

# What it tells of them: what each test did, each finding, why each action ranks where it does.
TELLING = """(engine, [search, stand]) => {
  const told = engine.tell(search, stand);
  let options = [];
  try {
    options = engine.nextActions(search, stand);
  } catch (error) {
    if (error.name !== "Contradiction") throw error;
  }
  return { ...told, reasons: engine.reasons(search, stand, options) };
}"""

_IMPORT = re.compile(r'^import (\{.*?\}) from "(\.[\w./]+)";', re.DOTALL | re.MULTILINE)
_PASS_ON = re.compile(r'^export (\*|\{.*?\}) from "(\.[\w./]+)";', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:const|function|class) (\w+))", re.MULTILINE)


def script_runner() -> Callable[[str, Any], Any]:
    """Return a function that calls a JavaScript function, given as text, on `engine` and a value.

    `engine` holds the exports of the engine's scripts and of `SHOWN`. The interpreter loads no
    modules from files, so each script becomes a function that returns its exports.
    """
    context = quickjs.Context()
    context.eval("const loaded = {};")
    done: set[str] = set()
    for path in [*sorted(FOLDER.glob("*.js")), *SHOWN]:
        _load(path, context, done)
    context.eval("const engine = Object.assign({}, ...Object.values(loaded));")

    def run(function: str, value: Any) -> Any:
        told = context.eval(f"JSON.stringify(({function})(engine, {json.dumps(value)}))")
        return json.loads(told)

    return run


def _load(path: Path, context: quickjs.Context, done: set[str]) -> None:
    """Load what a script imports, then the script."""
    if path.stem in done:
        return
    done.add(path.stem)
    text = path.read_text()
    for _, place in _IMPORT.findall(text) + _PASS_ON.findall(text):
        _load((path.parent / place).resolve(), context, done)
    passed_on = [f"...loaded.{Path(place).stem}" for _, place in _PASS_ON.findall(text)]
    exports = ", ".join([*_EXPORT.findall(text), *passed_on])
    body = _IMPORT.sub(lambda found: f"const {found[1]} = loaded.{Path(found[2]).stem};", text)
    body = _EXPORT.sub("", _PASS_ON.sub("", body))
    context.eval(f"loaded.{path.stem} = (() => {{\n{body}\nreturn {{ {exports} }};\n}})();")
