"""Whether the disks have room for what will be written on them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Need:
    """What will be written below a folder, and on which disk (`st_dev`) that lies."""

    disk: int
    folder: str
    size: int


@dataclass(frozen=True)
class Room:
    """One disk: the folders on it that are written to, the bytes they take, and those free."""

    folders: tuple[str, ...]
    needed: int
    free: int

    @property
    def is_enough(self) -> bool:
        """Whether all of it has room."""
        return self.free >= self.needed


def rooms(needs: Iterable[Need], free: Mapping[int, int]) -> list[Room]:
    """Return each disk once, as they are first named: what shares a disk shares its room."""
    folders, sizes = defaultdict[int, dict[str, None]](dict), defaultdict[int, int](int)
    for need in needs:
        folders[need.disk][need.folder] = None
        sizes[need.disk] += need.size
    return [Room(tuple(folders[disk]), size, free[disk]) for disk, size in sizes.items()]
