"""What the ground of properties has shown, as columns: quick to keep, to join and to count.

Stretches (legs as they were before any split), the parts of them that are there now, and located
faults stand in three tables of columns. Days are ordinals. Nothing in them hangs on today: the
end of the time in view comes with the question (`Watched`), so that kept columns stay right.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from reports.hotspots.engines.rates import Floats, Ints
from reports.hotspots.engines.trend import History
from sites.kernel.lazily import np

DAYS_A_YEAR = 365.25
SHORTEST_FT = 1.0


class Counts(NamedTuple):
    """What is told beside the ranking; see `Collected` for what each of them counts."""

    located: int = 0
    unlocated: int = 0
    off_leg: int = 0
    nowhere: int = 0
    outside: int = 0
    still_sought: int = 0
    before: int = 0
    without_records: int = 0
    is_cut: int = 0


NOTHING = Counts()


@dataclass(frozen=True)
class Evidence:
    """Columns; stretches by key, parts and faults by their stretch.

    `part_of` and `fault_of` are places of stretches; `cover` and causes are places in `covers`
    and `causes`. Faults of a stretch stand in order of days. `other_…` are breaks that lie on no
    stretch, for what is known of causes. `ended_…` are lives of stretches that ended with a
    renewal: thousands of feet, times years, and faults of ground and of wire causes. Feet lie
    along the ground.
    """

    key: Ints
    owner: Ints
    cover: Ints
    part_of: Ints
    part_leg: Ints
    part_wires: Ints
    part_since: Ints
    fault_of: Ints
    fault_on: Ints
    fault_cause: Ints
    other_on: Ints
    other_cause: Ints
    ended_by_ground: Ints
    ended_by_wire: Ints
    ended_ground: Floats
    ended_wire: Floats
    part_ft: Floats
    spread: Floats
    covers: tuple[str, ...] = ()
    causes: tuple[str, ...] = ()
    counts: Counts = NOTHING


# How each column is written, little end first.
KINDS = {
    "key": "<i8",
    "cover": "<u1",
    "spread": "<f8",
    "part_of": "<u4",
    "part_leg": "<i8",
    "part_wires": "<u2",
    "part_since": "<u4",
    "part_ft": "<f8",
    "fault_of": "<u4",
    "fault_on": "<u4",
    "fault_cause": "<u1",
    "other_on": "<u4",
    "other_cause": "<u1",
    "ended_ground": "<f8",
    "ended_wire": "<f8",
    "ended_by_ground": "<u4",
    "ended_by_wire": "<u4",
}
# Which columns stand side by side, beside those of stretches.
TABLES = {
    table: tuple(name for name in KINDS if name.startswith(table)) for table in ("part_", "fault_")
}
Columns = dict[str, "np.ndarray[Any, Any]"]


class Packed(NamedTuple):
    """Evidence of one property: what can be written as JSON, and all columns one after another."""

    owner: int
    head: Mapping[str, Any]
    columns: bytes


def packed(
    owner: int,
    columns: Mapping[str, Sequence[float]],
    *,
    covers: Sequence[str],
    causes: Sequence[str],
    counts: Counts,
) -> Packed:
    """Pack columns by the names of `KINDS`."""
    head = {
        "sizes": [len(columns[name]) for name in KINDS],
        "covers": list(covers),
        "causes": list(causes),
        "counts": list(counts),
    }
    return Packed(
        owner,
        head,
        b"".join(np.array(columns[name], kind).tobytes() for name, kind in KINDS.items()),
    )


def joined(all_of_it: Sequence[Packed]) -> Evidence:
    """Return the evidence of several properties as that of one, stretches by key.

    Bytes of a column are joined before they are read: of thousands of properties each piece as an
    array would take most of the time.
    """
    sizes = np.array([one.head["sizes"] for one in all_of_it], dtype=np.int64)
    sizes = sizes.reshape(-1, len(KINDS))
    columns, ends = {}, np.zeros(len(all_of_it), dtype=np.int64)
    for name, size in zip(KINDS, sizes.T, strict=True):
        starts, ends = ends, ends + size * np.dtype(KINDS[name]).itemsize
        spans = zip(all_of_it, starts.tolist(), ends.tolist(), strict=True)
        read = np.frombuffer(b"".join(one.columns[a:b] for one, a, b in spans), KINDS[name])
        columns[name] = read.astype(np.float64 if KINDS[name] == "<f8" else np.int64)
    count = dict(zip(KINDS, sizes.T, strict=True))
    first = np.cumsum(count["key"]) - count["key"]
    for name in ("part_of", "fault_of"):
        columns[name] += np.repeat(first, count[name])
    covers, by_cover = _one_list([one.head["covers"] for one in all_of_it])
    causes, by_cause = _one_list([one.head["causes"] for one in all_of_it])
    for name, table in (("cover", by_cover), ("fault_cause", by_cause), ("other_cause", by_cause)):
        columns[name] = table[np.repeat(np.arange(len(all_of_it)), count[name]), columns[name]]
    owners = np.array([one.owner for one in all_of_it], dtype=np.int64)
    columns["owner"] = np.repeat(owners, count["key"])
    sums = np.array([one.head["counts"] for one in all_of_it], dtype=np.int64)
    counts = Counts(*sums.reshape(-1, len(Counts._fields)).sum(axis=0).tolist())
    return Evidence(**_by_key(columns), covers=covers, causes=causes, counts=counts)


def _one_list(lists: Sequence[Sequence[str]]) -> tuple[tuple[str, ...], Ints]:
    """Return all names, and for each list and place in it the place among all."""
    known: dict[str, int] = {}
    table = np.zeros((len(lists), max(map(len, lists), default=0)), dtype=np.int64)
    for at, names in enumerate(lists):
        table[at, : len(names)] = [known.setdefault(name, len(known)) for name in names]
    return tuple(known), table


def _by_key(columns: Columns) -> Columns:
    """Put stretches in the order of their keys, and parts and faults in that of stretches."""
    order = np.argsort(columns["key"], kind="stable")
    new_place = np.empty_like(order)
    new_place[order] = np.arange(len(order))
    for kind in ("part_", "fault_"):
        owners = new_place[columns[f"{kind}of"]]
        rows = np.argsort(owners, kind="stable")
        for name in TABLES[kind]:
            columns[name] = columns[name][rows]
        columns[f"{kind}of"] = owners[rows]
    for name in ("key", "owner", "cover", "spread"):
        columns[name] = columns[name][order]
    return columns


@dataclass(frozen=True)
class Watched:
    """Evidence as observed until a day, that day not included."""

    evidence: Evidence
    until: int

    def __len__(self) -> int:
        return len(self.evidence.key)

    @cached_property
    def since(self) -> Ints:
        """The first day on which a fault of each stretch would have counted."""
        found: Ints = np.full(len(self), self.until, dtype=np.int64)
        np.minimum.at(found, self.evidence.part_of, self.evidence.part_since)
        return found

    @cached_property
    def feet(self) -> Floats:
        """The length of each stretch."""
        return self._sum(self.evidence.part_ft)

    @cached_property
    def years(self) -> Floats:
        """How long each stretch was observed."""
        return np.maximum(self.until - self.since, 0) / DAYS_A_YEAR

    @cached_property
    def _part_ground(self) -> Floats:
        years = np.maximum(self.until - self.evidence.part_since, 0) / DAYS_A_YEAR
        ground: Floats = np.maximum(self.evidence.part_ft, SHORTEST_FT) / 1000 * years
        return ground

    @cached_property
    def ground(self) -> Floats:
        """Thousands of feet of ground of each stretch, times years."""
        return self._sum(self._part_ground)

    @cached_property
    def wire(self) -> Floats:
        """The same of wire, where ground without a known wire holds one."""
        return self._sum(self._part_ground * np.maximum(self.evidence.part_wires, 1))

    def _sum(self, of_parts: Floats) -> Floats:
        return np.bincount(self.evidence.part_of, of_parts, len(self)).astype(np.float64)

    def kft_years(self, start: int, end: int) -> float:
        """Return thousands of feet, times years, between two days; unknown lengths are left out.

        Only stretches that were observed before `end` count.
        """
        one = self.evidence
        days = np.minimum(self.until, end) - np.maximum(one.part_since, start)
        counts = self.since[one.part_of] < end
        years = np.where(counts, np.maximum(days, 0), 0) / DAYS_A_YEAR
        return float((one.part_ft / 1000 * years).sum())

    @cached_property
    def first_fault(self) -> Ints:
        """The place of each stretch's first fault; one more entry ends the last stretch."""
        return np.searchsorted(self.evidence.fault_of, np.arange(len(self) + 1))

    @cached_property
    def fault_counts(self) -> Ints:
        """How many faults were located on each stretch."""
        return np.diff(self.first_fault)

    @cached_property
    def last_fault(self) -> Ints:
        """The day of each stretch's newest fault; 0 where it has none."""
        found: Ints = np.zeros(len(self), dtype=np.int64)
        np.maximum.at(found, self.evidence.fault_of, self.evidence.fault_on)
        return found

    @cached_property
    def fault_times(self) -> Floats:
        """Each fault in days since its stretch was first observed; a day counts from its middle."""
        owners = self.evidence.fault_of
        times = self.evidence.fault_on - self.since[owners] + 0.5
        found: Floats = np.minimum(np.maximum(times, 0.5), self.ends[owners])
        return found

    @cached_property
    def ends(self) -> Floats:
        """How many days each stretch was observed, one at least."""
        return np.maximum(self.until - self.since, 1).astype(np.float64)

    def faults_of(self, at: int) -> slice:
        """Return where the faults of one stretch stand."""
        return slice(int(self.first_fault[at]), int(self.first_fault[at + 1]))

    def history(self, at: int) -> History:
        """Return one stretch's faults as times since its observation began."""
        return History(tuple(self.fault_times[self.faults_of(at)].tolist()), float(self.ends[at]))

    @cached_property
    def found(self) -> tuple[Ints, Ints]:
        """Days and causes of all breaks whose cause is known, on whatever ground, in order."""
        one = self.evidence
        days = np.concatenate([one.fault_on, one.other_on])
        order = np.argsort(days, kind="stable")
        return days[order], np.concatenate([one.fault_cause, one.other_cause])[order]

    def causes(self) -> list[tuple[str, int]]:
        """Return causes with how many breaks each had, the most frequent first."""
        codes, first, counts = np.unique(self.found[1], return_index=True, return_counts=True)
        order = np.lexsort((first, -counts))
        return [(self.evidence.causes[codes[n]], int(counts[n])) for n in order]
