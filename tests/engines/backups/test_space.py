"""Whether the disks have room: what shares a disk shares its room."""

import pytest

from sites.backups.engines.space import Need, Room, rooms

DATABASE, BACKUPS, SCRATCH = Need(1, "/db", 100), Need(2, "/backups", 30), Need(1, "/state", 50)


def test_each_disk_is_told_once_with_all_that_is_written_on_it() -> None:
    assert rooms([DATABASE, BACKUPS, SCRATCH], {1: 500, 2: 20}) == [
        Room(("/db", "/state"), 150, 500),
        Room(("/backups",), 30, 20),
    ]


def test_a_folder_that_is_written_to_twice_is_named_once() -> None:
    (one,) = rooms([DATABASE, DATABASE], {1: 7})
    assert (one.folders, one.needed) == (("/db",), 200)


@pytest.mark.parametrize(("free", "is_enough"), [(149, False), (150, True), (151, True)])
def test_just_enough_is_enough(free: int, is_enough: bool) -> None:
    (one,) = rooms([DATABASE, SCRATCH], {1: free})
    assert one.is_enough is is_enough
