"""Real programs read what a running server of the demo gives; a browser of another site may not.

    uv run python -m tests.bench.bench_clients

The libraries come by `uv run --with` for this run alone; a program that is missing is said. Each
line says what was read and what the database has; a difference fails.
"""

import http.server
import json
import os
import shutil
import subprocess
import sys
import tempfile
import threading
import urllib.request
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.services_real.khal import khal
from tests.services_real.needs import free_port, wait_until

CHOSEN = """
from django.utils import timezone
from faults.due.services.calendars.links import make_calendar_link
from reports.off_central.queries import off_central_now
from sites.models import Property, Scope, User
from sites.people.services.tokens import TokenFacts, make_token
import json
owner, at = User.objects.get(username="demo-owner"), timezone.now()
facts = TokenFacts(name="clients", scopes=[scope.value for scope in Scope], days=2)
place = Property.objects.in_care().order_by("code")[0]
print(json.dumps({
    "token": make_token(user=owner, token=facts, at=at),
    "calendar": make_calendar_link(user=owner, at=at),
    "code": place.code,
    "off": off_central_now(owner).count(),
}))
"""
READING = """
import io, sys, urllib.request
import geopandas, pandas
url, token, code = sys.argv[1:]
def asked(path):
    headers = {"Authorization": "Bearer " + token}
    return urllib.request.urlopen(urllib.request.Request(url + path, headers=headers)).read()
layer = geopandas.read_file(io.BytesIO(asked("/api/v1/map/" + urllib.parse.quote(code))))
print("geopandas", len(layer), layer.crs.to_epsg(), sorted(set(layer.geom_type.dropna())))
import json
rows, cursor = [], ""
while cursor is not None:
    page = json.loads(asked("/api/v1/off-central?cursor=" + cursor))
    rows, cursor = rows + page["items"], page["next"]
table = pandas.json_normalize(rows)
print("pandas", len(table), table["station_ref"].nunique(), int(table["days"].isna().sum()))
"""
FETCH = """async ([url, token]) => {
    const tries = {};
    for (const [name, headers] of [["bare", {}], ["token", {Authorization: "Bearer " + token}]]) {
        try { tries[name] = (await fetch(url, {headers})).status; }
        catch (error) { tries[name] = error.name; }
    }
    return tries;
}"""


@contextmanager
def running(folder: Path) -> Iterator[tuple[str, dict[str, str]]]:
    """Fill the demo, serve it, yield its address and what was made for the programs."""
    env = {**os.environ, "REJOIN_STATE": str(folder), "REJOIN_DEMO": "1", "DEBUG": "1"}
    _manage(env, "demo", "--fresh", "--yes", "--no-serve")
    made = json.loads(_manage(env, "shell", "-v", "0", "-c", CHOSEN).strip().splitlines()[-1])
    url = f"http://127.0.0.1:{free_port()}"
    place = url.removeprefix("http://")
    command = [sys.executable, "manage.py", "runserver", place, "--noreload"]
    with (folder / "log").open("wb") as log:
        server = subprocess.Popen(command, env=env, stdout=log, stderr=log)
    try:
        wait_until(lambda: _answers(url), what="the demo's server", seconds=60)
        yield url, made
    finally:
        server.terminate()
        server.wait(10)


def _manage(env: Mapping[str, str], *words: str) -> str:
    command = [sys.executable, "manage.py", *words]
    done = subprocess.run(command, env=env, check=True, capture_output=True, text=True)
    return done.stdout


def _answers(url: str) -> bool:
    try:
        urllib.request.urlopen(f"{url}/healthz", timeout=2).close()
    except OSError:
        return False
    return True


def read_with_libraries(url: str, made: Mapping[str, str]) -> bool:
    """Let geopandas and pandas read the map of a property and all that is off central control."""
    command = ["uv", "run", "--no-project", "--with", "geopandas", "--with", "pandas", "python"]
    told = subprocess.run(
        [*command, "-c", READING, url, made["token"], made["code"]],
        check=True, capture_output=True, text=True,
    ).stdout  # fmt: skip
    print(told, end="")
    maps, table = (line.split() for line in told.splitlines())
    print(f"the database: {made['off']} stations off central control")
    return int(maps[1]) > 0 and maps[2] == "4326" and table[1] == table[2] == str(made["off"])


def read_with_ogrinfo(url: str, made: Mapping[str, str], folder: Path) -> bool:
    """Let ogrinfo say what the map of the property holds."""
    program = shutil.which("ogrinfo")
    if program is None:
        print("ogrinfo is not installed: left out")
        return True
    headers = {"Authorization": f"Bearer {made['token']}"}
    place = urllib.request.quote(made["code"])  # type: ignore[attr-defined]
    asked = urllib.request.Request(f"{url}/api/v1/map/{place}", headers=headers)
    file = folder / "map.geojson"
    file.write_bytes(urllib.request.urlopen(asked).read())
    command = [program, "-so", "-al", str(file)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    print("ogrinfo", [line for line in done.stdout.splitlines() if "Count" in line])
    return done.returncode == 0 and "Feature Count" in done.stdout


def read_with_khal(made: Mapping[str, str], url: str) -> bool:
    """Let a calendar program take in the feed of what is due."""
    address = made["calendar"].partition("/calendar/")[2]
    feed = urllib.request.urlopen(f"{url}/calendar/{address}").read()
    with khal("America/Phoenix") as program:
        program.read(feed)
        shown = program.listed("2020-01-01", 9999)
    print(f"khal {len(shown)} entries, the feed {feed.count(b'BEGIN:VEVENT')}")
    return len(shown) > 0


def is_kept_from_other_sites(url: str, token: str) -> bool:
    """Fetch from a page of another origin: the browser must not hand the answer over."""
    quiet = type("Quiet", (http.server.SimpleHTTPRequestHandler,), {"log_message": lambda *_: None})
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "index.html").write_text("<title>Another site</title>")
        other = http.server.ThreadingHTTPServer(("127.0.0.1", 0), partial(quiet, directory=folder))
        threading.Thread(target=other.serve_forever, daemon=True).start()
        try:
            with sync_playwright() as browsers:
                chromium = browsers.chromium.launch(
                    executable_path=shutil.which("chromium"), args=["--no-sandbox"]
                )
                page: Page = chromium.new_page()
                page.goto(f"http://127.0.0.1:{other.server_port}/")
                tries = page.evaluate(FETCH, [f"{url}/api/v1/off-central", token])
                chromium.close()
        finally:
            other.shutdown()
    print("fetch from another site:", tries)
    return set(tries.values()) == {"TypeError"}


def main() -> int:
    """Let each program read; return 0 where all got what is there, and the browser nothing."""
    with tempfile.TemporaryDirectory(prefix="rejoin-clients-") as name:
        folder = Path(name)
        with running(folder) as (url, made):
            did = {
                "libraries": read_with_libraries(url, made),
                "ogrinfo": read_with_ogrinfo(url, made, folder),
                "khal": read_with_khal(made, url),
                "another site": is_kept_from_other_sites(url, made["token"]),
            }
    wrong = [each for each, is_well in did.items() if not is_well]
    print("wrong: " + ", ".join(wrong) if wrong else "all as it should be")
    return bool(wrong)


if __name__ == "__main__":
    raise SystemExit(main())
