"""What was sealed opens with its key only, as it was, or not at all.

The way of framing is STREAM (Hoang, Reyhanitabar, Rogaway, Vizár, 2015); its cases of attack are
those of this file.
"""

import io
import tracemalloc
from pathlib import Path
from random import Random

import pytest

from sites.backups.engines import sealed
from sites.backups.engines.archive import DamagedArchive, is_sealed, unpack, write
from sites.backups.engines.sealed import (
    FRAME,
    HEAD_BYTES,
    MAGIC,
    BrokenSeal,
    NotAKey,
    Opening,
    Sealing,
    WrongKey,
    key_from,
    new_key,
)

KEY, OTHER = bytes(range(32)), bytes(range(1, 33))
WHOLE = FRAME + 16


def seal(plain: bytes, *, at_once: int = 100_000) -> bytes:
    out = io.BytesIO()
    sealing = Sealing(out, KEY)
    for start in range(0, len(plain), at_once):
        sealing.write(plain[start : start + at_once])
    sealing.finish()
    return out.getvalue()


def open_all(whole: bytes, key: bytes | None = KEY, *, at_once: int = 70_001) -> bytes:
    file = io.BytesIO(whole)
    assert file.read(len(MAGIC)) == MAGIC
    opening, found = Opening(file, key), []
    while block := opening.read(at_once):
        found.append(block)
    return b"".join(found)


@pytest.mark.parametrize("size", [0, 1, FRAME - 1, FRAME, FRAME + 1, 2 * FRAME, 2 * FRAME + 1])
def test_it_opens_as_it_was_around_each_edge_of_a_frame(size: int) -> None:
    plain = Random(size).randbytes(size)
    whole = seal(plain)
    assert open_all(whole) == plain
    frames = max(1, -(-size // FRAME))
    assert len(whole) == HEAD_BYTES + size + 16 * frames
    assert size < 64 or plain[:64] not in whole


def test_the_same_sealed_twice_has_nothing_in_common() -> None:
    first, second = seal(b"x" * 1000), seal(b"x" * 1000)
    assert first[: len(MAGIC)] == second[: len(MAGIC)]
    assert first[len(MAGIC) : HEAD_BYTES] != second[len(MAGIC) : HEAD_BYTES]
    assert first[HEAD_BYTES:] != second[HEAD_BYTES:]


def test_another_key_is_told_from_damage() -> None:
    with pytest.raises(WrongKey, match="another key"):
        open_all(seal(b"abc"), OTHER)
    with pytest.raises(WrongKey, match="no key was given"):
        open_all(seal(b"abc"), None)


THREE = seal(Random(3).randbytes(3 * FRAME))
FRAMES = [THREE[HEAD_BYTES + n * WHOLE : HEAD_BYTES + (n + 1) * WHOLE] for n in range(3)]
HEAD = THREE[:HEAD_BYTES]


@pytest.mark.parametrize(
    "frames",
    [[], [0], [0, 1], [1, 0, 2], [0, 2, 1], [0, 2], [1, 2], [0, 1, 1, 2], [0, 1, 2, 2]],
)
def test_frames_left_out_doubled_or_in_another_order_are_noticed(frames: list[int]) -> None:
    assert open_all(HEAD + b"".join(FRAMES))
    with pytest.raises(BrokenSeal):
        open_all(HEAD + b"".join(FRAMES[n] for n in frames))


def test_a_frame_of_another_file_of_the_same_key_is_noticed() -> None:
    other = seal(Random(3).randbytes(3 * FRAME))
    swapped = other[HEAD_BYTES : HEAD_BYTES + WHOLE]
    with pytest.raises(BrokenSeal, match="part 1"):
        open_all(HEAD + swapped + FRAMES[1] + FRAMES[2])


@pytest.mark.parametrize("cut", [1, 15, 16, 17, WHOLE - 1, WHOLE, WHOLE + 1, 2 * WHOLE])
def test_one_that_breaks_off_is_noticed_wherever_it_does(cut: int) -> None:
    with pytest.raises(BrokenSeal):
        open_all(THREE[:-cut])


@pytest.mark.parametrize("length", [len(MAGIC), len(MAGIC) + 1, HEAD_BYTES - 1])
def test_half_a_head_is_noticed(length: int) -> None:
    with pytest.raises(BrokenSeal, match="breaks off"):
        open_all(THREE[:length])


@pytest.mark.parametrize("more", [b"x", b"x" * 16, b"x" * WHOLE])
def test_what_was_added_is_noticed(more: bytes) -> None:
    with pytest.raises(BrokenSeal):
        open_all(THREE + more)


def test_each_flipped_bit_is_noticed() -> None:
    whole, random = seal(b"a little text"), Random(7)
    for at in range(len(MAGIC), len(whole)):
        changed = bytearray(whole)
        changed[at] ^= 1 << random.randrange(8)
        with pytest.raises((BrokenSeal, WrongKey)):
            open_all(bytes(changed))


def test_a_key_is_read_as_it_is_written() -> None:
    text = new_key()
    assert len(text) == 64
    assert key_from(f"  {text.upper()}\n") == bytes.fromhex(text)
    assert new_key() != text


@pytest.mark.parametrize("text", ["", "0" * 62, "0" * 66, "g" * 64, "0" * 63, "correct horse"])
def test_what_is_no_key_is_refused(text: str) -> None:
    with pytest.raises(NotAKey):
        key_from(text)


# -- in an archive


def an_archive(folder: Path, size: int = 3 * FRAME) -> Path:
    source = folder / "db"
    source.write_bytes(Random(1).randbytes(size))
    write(folder / "one.tar", [("db", source)], {"rows": {}}, key=KEY)
    return folder / "one.tar"


def test_an_archive_is_sealed_and_its_owners_alone(tmp_path: Path) -> None:
    path = an_archive(tmp_path)
    assert path.stat().st_mode & 0o777 == 0o600
    assert is_sealed(path)
    assert b"contents.json" not in path.read_bytes()
    (tmp_path / "out").mkdir()
    assert unpack(path, tmp_path / "out", key=KEY).told == {"rows": {}}
    assert (tmp_path / "out/db").read_bytes() == (tmp_path / "db").read_bytes()


def test_one_that_is_not_sealed_needs_no_key(tmp_path: Path) -> None:
    write(tmp_path / "one.tar", [], {})
    assert not is_sealed(tmp_path / "one.tar")
    assert unpack(tmp_path / "one.tar", tmp_path, key=KEY).members == {}


@pytest.mark.parametrize("share", [0.2, 0.5, 0.9999])
def test_a_sealed_archive_that_was_changed_is_damaged(tmp_path: Path, share: float) -> None:
    path = an_archive(tmp_path)
    whole = bytearray(path.read_bytes())
    whole[int(len(whole) * share)] ^= 4
    path.write_bytes(whole)
    (tmp_path / "out").mkdir()
    with pytest.raises(DamagedArchive, match="not as it was sealed"):
        unpack(path, tmp_path / "out", key=KEY)


def test_what_is_left_of_the_last_frame_after_the_end_of_the_tar_is_read_too(
    tmp_path: Path,
) -> None:
    out = io.BytesIO()
    plain = tmp_path / "plain.tar"
    write(plain, [], {})
    sealing = Sealing(out, KEY)
    # Zeros after its end are no part of a tar file: no tar program would look at them.
    sealing.write(plain.read_bytes() + bytes(3 * FRAME))
    sealing.finish()
    for cut in (0, WHOLE):
        whole = out.getvalue()
        (tmp_path / "long").write_bytes(whole[: len(whole) - cut])
        if not cut:
            assert unpack(tmp_path / "long", tmp_path, key=KEY).told == {}
            continue
        with pytest.raises(DamagedArchive):
            unpack(tmp_path / "long", tmp_path, key=KEY)


def test_memory_does_not_grow_with_what_is_sealed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sealed, "FRAME", 64 * 1024)
    (tmp_path / "out").mkdir()
    tracemalloc.start()
    try:
        path = an_archive(tmp_path, 1)
        (tmp_path / "db").write_bytes(bytes(40 * FRAME))
        path.unlink()
        tracemalloc.reset_peak()
        write(path, [("db", tmp_path / "db")], {}, key=KEY)
        unpack(path, tmp_path / "out", key=KEY)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert (tmp_path / "out/db").stat().st_size == 40 * FRAME
    assert peak < 8 * FRAME
