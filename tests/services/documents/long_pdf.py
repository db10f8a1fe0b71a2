"""Set a document of some 200 pages; print pages, seconds, and the most memory in MB."""

import json
import re
import time
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

from pypdf import PdfReader

from sites.documents.charts.bars import Series, stacked
from sites.documents.engines import figures
from sites.documents.engines.document import Document, Drawing, Section, Table
from sites.documents.services.pdf import write_pdf

MONTHS = [f"2026-{month:02}" for month in range(1, 13)]


def section(number: int) -> Section:
    """A chart and a table of 40 rows: somewhat more than a page."""
    one = Series("wire", "#0072B2", "", [float(number % 7 + n) for n in range(12)])
    other = Series("valve", "#E69F00", "M0 4h8", [float(n) for n in range(12)])
    rows = [
        [
            figures.text(f"A:{row}"),
            figures.text("A lawn along the wall behind the gate, with a long name"),
            figures.count(1234 * row),
            figures.amount(1234.567 * row, decimals=2),
        ]
        for row in range(40)
    ]
    table = Table("t", "Stations", ["Station", "Name", "Gallons", "Money"], rows, [2, 3])
    drawn = Drawing(stacked(MONTHS, [one, other]), "Stations off", "Stations off")
    return Section(f"s{number}", f"Property {number}", [drawn, table])


def main() -> None:
    """Set it and measure."""
    words = {"author": "Rejoin", "named": "R-1", "foot": "R-1", "page": "Page", "cover": "Report"}
    sections = [section(number) for number in range(180)]
    whole = Document("All properties", "", "en", "letter", [], sections, words)
    started = time.monotonic()
    pdf = write_pdf(whole, photo=lambda _ref: b"", at=datetime(2026, 1, 1, tzinfo=UTC))
    seconds = time.monotonic() - started
    # Of this program alone: what `resource` tells holds the most of the process that started it.
    (most_kb,) = re.findall(r"^VmHWM:\s+(\d+) kB$", Path("/proc/self/status").read_text(), re.M)
    most_mb = int(most_kb) / 1024
    pages = len(PdfReader(BytesIO(pdf)).pages)
    print(json.dumps({"pages": pages, "seconds": seconds, "most_mb": most_mb}))


if __name__ == "__main__":
    main()
