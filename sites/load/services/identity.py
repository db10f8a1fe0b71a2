"""Records as keys by identity: one that is not saved yet has no number, and Django hashes none.

Each of these holds the record itself, so that its identity cannot pass to another object.
"""

from collections.abc import Iterable, Iterator, MutableMapping, MutableSet
from typing import Generic, TypeVar

from django.db.models import Model

K = TypeVar("K", bound=Model)
V = TypeVar("V")


class Identity:
    """A record as part of a key: equal to itself only, saved or not."""

    __slots__ = ("record",)

    def __init__(self, record: Model) -> None:
        self.record = record

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Identity) and self.record is other.record

    def __hash__(self) -> int:
        return id(self.record)

    def __repr__(self) -> str:
        return f"Identity({self.record!r})"


class IdentityMap(MutableMapping[K, V], Generic[K, V]):
    """A mapping whose keys are records, in the order in which they came."""

    __slots__ = ("_pairs",)

    def __init__(self, pairs: Iterable[tuple[K, V]] = ()) -> None:
        self._pairs: dict[int, tuple[K, V]] = {id(pair[0]): pair for pair in pairs}

    def __getitem__(self, record: K) -> V:
        return self._pairs[id(record)][1]

    def __setitem__(self, record: K, value: V) -> None:
        self._pairs[id(record)] = record, value

    def __delitem__(self, record: K) -> None:
        del self._pairs[id(record)]

    def __contains__(self, record: object) -> bool:
        return id(record) in self._pairs

    def __iter__(self) -> Iterator[K]:
        return (record for record, _value in self._pairs.values())

    def __len__(self) -> int:
        return len(self._pairs)


class IdentitySet(MutableSet[K]):
    """A set of records, in the order in which they came."""

    __slots__ = ("_records",)

    def __init__(self, records: Iterable[K] = ()) -> None:
        self._records: dict[int, K] = {id(record): record for record in records}

    def __contains__(self, record: object) -> bool:
        return id(record) in self._records

    def __iter__(self) -> Iterator[K]:
        return iter(self._records.values())

    def __len__(self) -> int:
        return len(self._records)

    def add(self, record: K) -> None:
        """Take a record in."""
        self._records[id(record)] = record

    def discard(self, record: K) -> None:
        """Take a record out, if it is there."""
        self._records.pop(id(record), None)
