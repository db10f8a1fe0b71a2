"""How long loads of 50,000 rows take, and how much memory: run as a script.

    uv run python -m tests.bench.bench_load [rows]

Bars: less than 60 s and less than 1 GB at 50,000 rows, on SQLite, with history.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from datetime import date, timedelta

TODAY = date(2026, 6, 1)
HEADINGS = {
    "properties": "property code,property,client,units",
    "controllers": "property code,controller,central",
    "stations": "property code,controller,station number,station name,run length,size,area,flow,"
    "plant kind,plant factor,efficiency",
    "flat list": "property,client,controller,station number,station name,area,flow,run length,"
    "size,stopgap since,cause or reason,notes",
}


def stations(rows: int) -> dict[str, str]:
    """Return a sheet of that many stations, with the properties and controllers it needs."""
    places = [f"P{number}" for number in range(rows // 200 + 1)]
    lines = [
        f"P{n // 200},C{n % 200 // 40},{n % 40 + 1},Lawn {n},{100 + n % 700},14 AWG,"
        f"{500 + n % 900},{5 + n % 30},turf,0.7,0.75"
        for n in range(rows)
    ]
    return {
        "properties": _sheet("properties", [f"{p},{p} park,Client {p},US" for p in places]),
        "controllers": _sheet(
            "controllers", [f"{p},C{c},linked" for p in places for c in range(5)]
        ),
        "stations": _sheet("stations", lines),
    }


def flat_list(rows: int) -> dict[str, str]:
    """Return one flat list of that many stations; one in five has a timer."""
    lines = [
        f"F{n // 200},Client F,C{n % 200 // 40},{n % 40 + 1},Lawn {n},{500 + n % 900},"
        f"{5 + n % 30},{100 + n % 700},14 AWG,{_since(n)},note {n}"
        for n in range(rows)
    ]
    return {"flat list": _sheet("flat list", lines)}


def _since(number: int) -> str:
    if number % 5:
        return ","
    return (
        f"{TODAY - timedelta(days=number % 900 + 1)},{('wire cut', 'gopher', 'coil')[number % 3]}"
    )


def _sheet(name: str, lines: list[str]) -> str:
    return "\n".join([HEADINGS[name], *lines]) + "\n"


def measure(what: str, rows: int) -> None:
    """Load into a new database, then the same again; print seconds and peak memory."""
    import django

    django.setup()
    from django.core.management import call_command

    from faults.load.services.register import load_register
    from sites.load.services.files import RegisterFile
    from sites.runs.services import Silent

    class Longest(Silent):
        """The longest time without a word."""

        last = time.perf_counter()
        worst = 0.0

        def say(self, text: str, done: int = 0, total: int = 0) -> None:
            now = time.perf_counter()
            self.worst, self.last = max(self.worst, now - self.last), now

    call_command("migrate", verbosity=0, skip_checks=True)
    sheets = {"flat": flat_list, "stations": stations}[what](rows)
    files = [RegisterFile(f"{name}.csv", text.encode()) for name, text in sheets.items()]
    for turn in ("first", "again"):
        progress = Longest()
        start = progress.last = time.perf_counter()
        worked = time.process_time()
        preview = load_register(files=files, today=TODAY, progress=progress)
        took, worked = time.perf_counter() - start, time.process_time() - worked
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        added = sum(sheet.added for sheet in preview.sheets)
        sys.stdout.write(
            f"{what:9} {turn:6} {rows:7} rows  {added:7} added  "
            f"{took:6.1f} s, {worked:5.1f} s of it at work  "
            f"silent for {progress.worst:4.1f} s at most  peak {peak:6.0f} MB\n"
        )


def main() -> None:
    """Measure each list in a process of its own, so that the peaks are its own."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 50_000
    for what in ("flat", "stations"):
        with tempfile.TemporaryDirectory() as folder:
            environment = os.environ | {
                "REJOIN_STATE": folder,
                "DJANGO_SETTINGS_MODULE": "sites.project.settings",
                "BENCH_LOAD": f"{what} {rows}",
            }
            subprocess.run(
                [sys.executable, "-m", "tests.bench.bench_load"], env=environment, check=True
            )


if __name__ == "__main__":
    if asked := os.environ.get("BENCH_LOAD"):
        measure(asked.split()[0], int(asked.split()[1]))
    else:
        main()
