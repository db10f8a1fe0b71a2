"""The ledger against the database: what is lost, doubled, or differs from what it derives from."""

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

import psycopg

from tests.bench.kills.ledger import KINDS, Ledger, Written
from tests.bench.kills.services import Service
from tests.services_real.mail_sink import taken

MOST_TAKEN = 2
# Where the mark of each kind stands, and how often.
FOUND = {
    "fault by a program": "SELECT summary FROM faults_fault",
    "reading by a program": "SELECT notes FROM faults_reading",
    "reading on a page": "SELECT taken_by FROM faults_reading",
    "stopgap on a page": "SELECT notes FROM sites_stopgap",
    "reading from a phone": "SELECT notes FROM faults_reading",
    "photo from a phone": "SELECT caption FROM faults_jobphoto",
    "quote mailed from a page": """SELECT split_part("to", '@', 1) FROM faults_outgoingmail
        WHERE key LIKE 'private:quote:%'""",
    "daily mail asked for": "SELECT user_id FROM faults_outgoingmail WHERE key LIKE 'digest:%'",
}
MAILS = "SELECT message_id FROM faults_outgoingmail"
PHOTOS = "SELECT caption, file, width_px FROM faults_jobphoto"
UNSENT = "SELECT count(*) FROM faults_outgoingmail WHERE sent_at IS NULL"
END_OF_JPEG = b"\xff\xd9"
_CHANGED = re.compile(r"^(\w+): (\d+) changed$", re.M)


@dataclass(frozen=True)
class Line:
    """One kind of write; `turned_away` = refused although nothing was wrong with it."""

    kind: str
    begun: int
    sendings: int
    acknowledged: int
    lost: int
    doubled: int
    turned_away: int

    @property
    def is_bad(self) -> bool:
        """Whether anything is over budget: all of it is none."""
        return bool(self.lost or self.doubled or self.turned_away)


@dataclass(frozen=True)
class Mails:
    """Mails of the outbox: how many, how often the server took them, and beyond what is allowed."""

    written: int
    taken_twice: int
    taken_more: int
    not_taken: int
    unknown: int

    @property
    def is_bad(self) -> bool:
        """Whether one never arrived, arrived thrice, or under another Message-ID."""
        return bool(self.taken_more or self.not_taken or self.unknown)


def lines(service: Service, ledger: Ledger) -> list[Line]:
    """Compare each kind of write with the rows of the database."""
    with psycopg.connect(service.direct) as database:
        return [
            reckoned(kind, ledger, Counter(str(row[0]) for row in database.execute(FOUND[kind])))
            for kind in KINDS
        ]


def reckoned(kind: str, ledger: Ledger, found: Mapping[str, int]) -> Line:
    """Compare what was sent of a kind with how often each mark was found."""
    rows = [row for row in ledger.rows if row.kind == kind]
    return Line(
        kind,
        len(rows),
        sum(row.sendings for row in rows),
        sum(row.is_acknowledged for row in rows),
        sum(row.is_acknowledged and not found.get(row.mark) for row in rows),
        sum(found.get(row.mark, 0) > 1 or _made_two(row) for row in rows),
        sum(bool(row.turned_away) for row in rows),
    )


def _made_two(row: Written) -> bool:
    """Whether its sender was told of two different things that were made."""
    return len(set(row.answers)) > 1


def broken_photos(service: Service) -> list[str]:
    """Return the photos whose file is not there, or not whole."""
    with psycopg.connect(service.direct) as database:
        rows = database.execute(PHOTOS).fetchall()
    files = {str(caption): service.media / str(name) for caption, name, _width in rows}
    return [
        caption
        for caption, file in files.items()
        if not file.is_file() or not file.read_bytes().endswith(END_OF_JPEG)
    ]


def files_without_a_row(service: Service) -> int:
    """Return how many files lie there that no photo names: what a kill left behind."""
    with psycopg.connect(service.direct) as database:
        named = {str(row[1]) for row in database.execute(PHOTOS)}
    there = {path.relative_to(service.media) for path in service.media.rglob("*") if path.is_file()}
    return sum(str(path) not in named for path in there)


def unsent(service: Service) -> int:
    """Return how many mails still wait."""
    with psycopg.connect(service.direct) as database:
        (row,) = database.execute(UNSENT)
        return int(row[0])


def mails(service: Service) -> Mails:
    """Compare the outbox with what the mail server took."""
    with psycopg.connect(service.direct) as database:
        ids = [str(row[0]) for row in database.execute(MAILS)]
    arrived = taken(service.mails)
    return Mails(
        len(ids),
        sum(arrived[each] == MOST_TAKEN for each in ids),
        sum(arrived[each] > MOST_TAKEN for each in ids),
        sum(arrived[each] == 0 for each in ids),
        len(set(arrived) - set(ids)),
    )


def differing(service: Service) -> dict[str, int]:
    """Rebuild derived rows from scratch, and return how many of each differed."""
    return {name: int(n) for name, n in _CHANGED.findall(service.run("rebuild"))}
