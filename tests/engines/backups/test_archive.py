"""An archive holds what was written, and nothing that was changed passes for it."""

import io
import os
import tarfile
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest

from sites.backups.engines.archive import CONTENTS, Contents, DamagedArchive, unpack, write

TOLD = {"rows": {"station": 3}}


def check(path: Path) -> Contents:
    """Read all of an archive, and keep nothing."""
    with TemporaryDirectory() as folder:
        return unpack(path, Path(folder))


@pytest.fixture
def files(tmp_path: Path) -> list[tuple[str, Path]]:
    """Three files, one of them empty and one larger than a block of a tar file."""
    made = []
    for name, content in (("db", b"x" * 3000), ("files/a.jpg", b""), ("files/b/c.jpg", b"abc")):
        path = tmp_path / "source" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        made.append((name, path))
    return made


@pytest.fixture
def written(tmp_path: Path, files: list[tuple[str, Path]]) -> Path:
    to = tmp_path / "one.tar"
    write(to, files, TOLD)
    return to


def test_what_is_unpacked_is_what_was_written(
    tmp_path: Path, files: list[tuple[str, Path]], written: Path
) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    contents = unpack(written, folder)
    assert contents.told == TOLD
    assert set(contents.members) == {name for name, _path in files}
    for name, path in files:
        assert (folder / name).read_bytes() == path.read_bytes()
    assert check(written) == contents


def test_any_tar_program_reads_it(written: Path) -> None:
    with tarfile.open(written) as archive:
        assert archive.getnames() == ["db", "files/a.jpg", "files/b/c.jpg", CONTENTS]


def test_each_flipped_bit_is_noticed(tmp_path: Path, written: Path) -> None:
    whole, told = written.read_bytes(), check(written)
    random, damaged = Random(11), tmp_path / "damaged.tar"
    noticed = 0
    for _n in range(400):
        at = random.randrange(len(whole))
        changed = bytearray(whole)
        changed[at] ^= 1 << random.randrange(8)
        damaged.write_bytes(changed)
        try:
            # What pads a block, or says when a file was made, is nothing that was kept.
            assert check(damaged) == told
        except DamagedArchive:
            noticed += 1
    assert noticed > 100


@pytest.mark.parametrize("share", [0.0, 0.1, 0.4, 0.5])
def test_one_that_breaks_off_is_noticed(tmp_path: Path, written: Path, share: float) -> None:
    cut = tmp_path / "cut.tar"
    cut.write_bytes(written.read_bytes()[: int(written.stat().st_size * share)])
    with pytest.raises(DamagedArchive):
        check(cut)


def changed_archive(tmp_path: Path, *members: tuple[tarfile.TarInfo, bytes]) -> Path:
    path = tmp_path / "other.tar"
    with tarfile.open(path, "w") as archive:
        for info, content in members:
            info.size = len(content) if info.isreg() else 0
            archive.addfile(info, io.BytesIO(content))
    return path


def link(name: str) -> tarfile.TarInfo:
    info = tarfile.TarInfo(name)
    info.type, info.linkname = tarfile.SYMTYPE, "/etc/passwd"
    return info


@pytest.mark.parametrize(
    "info", [tarfile.TarInfo("../out"), tarfile.TarInfo("/out"), tarfile.TarInfo("a/../../b"),
             link("files/a.jpg")],
)  # fmt: skip
def test_nothing_is_written_outside_its_folder(tmp_path: Path, info: tarfile.TarInfo) -> None:
    path = changed_archive(tmp_path, (info, b"" if info.issym() else b"x"))
    folder = tmp_path / "deep" / "folder"
    folder.mkdir(parents=True)
    with pytest.raises(DamagedArchive, match="no file of ours"):
        unpack(path, folder)
    assert [each for each in tmp_path.rglob("*") if each.name in ("out", "b", "passwd")] == []
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize(
    "listed",
    [
        b"no json",
        b"[]",
        b"{}",
        b'{"format": 1, "members": {}, "told": {}}',
        b'{"format": 2, "members": {"db": [1, "a"]}, "told": {}}',
    ],
)
def test_a_list_that_does_not_fit_is_refused(tmp_path: Path, listed: bytes) -> None:
    path = changed_archive(
        tmp_path, (tarfile.TarInfo("db"), b"x"), (tarfile.TarInfo(CONTENTS), listed)
    )
    with pytest.raises(DamagedArchive):
        check(path)


def test_nothing_is_overwritten(tmp_path: Path, files: list[tuple[str, Path]]) -> None:
    to = tmp_path / "one.tar"
    to.write_bytes(b"dear")
    with pytest.raises(FileExistsError):
        write(to, files, TOLD)
    assert to.read_bytes() == b"dear"


def test_a_full_disk_leaves_nothing(
    tmp_path: Path, files: list[tuple[str, Path]], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_number: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write(tmp_path / "one.tar", files, TOLD)
    assert [each.name for each in tmp_path.iterdir()] == ["source"]


def test_a_file_that_was_deleted_meanwhile_is_left_out(
    tmp_path: Path, files: list[tuple[str, Path]]
) -> None:
    files[1][1].unlink()
    contents: Contents = write(tmp_path / "one.tar", files, TOLD)
    assert set(contents.members) == {"db", "files/b/c.jpg"}
    assert check(tmp_path / "one.tar") == contents


def test_what_is_not_there_is_no_damage(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        check(tmp_path / "none.tar")
