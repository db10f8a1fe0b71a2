"""A tar file whose last member lists every other with its size and SHA-256, sealed if asked.

Written beside its name and renamed when it is whole and on the disk, so a name never stands for
half of an archive. Reading checks each member on the way. Both are streams: neither needs more
memory for a larger archive.
"""

import errno
import hashlib
import io
import json
import os
import tarfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import IO, Any, cast

from sites.backups.engines.sealed import MAGIC, BrokenSeal, Opening, Readable, Sealing, Writable

CONTENTS = "contents.json"
FORMAT = 1
_BLOCK = 1024 * 1024
# Answers of file systems that know no second name for a file, as shares of other systems.
_NO_LINKS = {errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK}


class DamagedArchive(Exception):
    """It is not an archive of ours, or not as it was written; the text says where."""


@dataclass(frozen=True)
class Member:
    """One file of an archive."""

    size: int
    sha256: str


@dataclass(frozen=True)
class Contents:
    """What an archive holds: files by their names, and what else its writer told of it."""

    members: dict[str, Member]
    told: dict[str, Any]


def write(
    to: Path,
    files: Iterable[tuple[str, Path]],
    told: dict[str, Any],
    *,
    key: bytes | None = None,
) -> Contents:
    """Write an archive that only its owner may read, and return what is in it.

    A file that is gone by the time it is read is left out: the database was read before it, so
    nothing in it can name it any more but what was deleted meanwhile.

    Args:
        key: seal it, so that nobody can read it without this key.

    Raises:
        FileExistsError: there is something of this name already.
        OSError: it cannot be written, e.g. as the disk is full; nothing is left of it then.
    """
    if to.exists():
        raise FileExistsError(to)
    part = to.with_name(f".{to.name}.part")
    try:
        with os.fdopen(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as out:
            if key is None:
                members = _write(out, files, told)
            else:
                sealing = Sealing(out, key)
                members = _write(sealing, files, told)
                sealing.finish()
            out.flush()
            os.fsync(out.fileno())
        _name(part, to)
    finally:
        part.unlink(missing_ok=True)
    return Contents(members, told)


def _name(part: Path, to: Path) -> None:
    """Give it its name; not `rename`, which would replace what someone put there meanwhile."""
    try:
        os.link(part, to)
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        if to.exists():
            raise FileExistsError(to) from error
        part.rename(to)


def _write(
    out: Writable, files: Iterable[tuple[str, Path]], told: dict[str, Any]
) -> dict[str, Member]:
    members: dict[str, Member] = {}
    # As a stream it asks no more of `out` than to be written to.
    stream = cast(IO[bytes], out)
    with tarfile.open(fileobj=stream, mode="w|", bufsize=_BLOCK) as archive:
        for name, path in files:
            try:
                file = path.open("rb")
            except FileNotFoundError:
                continue
            with file:
                members[name] = _add(archive, name, file)
        listed = {name: [each.size, each.sha256] for name, each in members.items()}
        text = json.dumps({"format": FORMAT, "members": listed, "told": told}).encode()
        info = tarfile.TarInfo(CONTENTS)
        info.size = len(text)
        archive.addfile(info, io.BytesIO(text))
    return members


def _add(archive: tarfile.TarFile, name: str, file: IO[bytes]) -> Member:
    info = tarfile.TarInfo(name)
    info.size = os.fstat(file.fileno()).st_size
    reader = _Hashing(file)
    archive.addfile(info, reader)
    return Member(info.size, reader.sha256)


class _Hashing:
    """A file that hashes what is read of it."""

    def __init__(self, file: IO[bytes]) -> None:
        self._file, self._hash = file, hashlib.sha256()

    def read(self, size: int = -1) -> bytes:
        """Read, and count it in."""
        block = self._file.read(size)
        self._hash.update(block)
        return block

    @property
    def sha256(self) -> str:
        """The hash of all that was read."""
        return self._hash.hexdigest()


def is_sealed(path: Path) -> bool:
    """Whether a file is an archive that a key opens.

    Raises:
        OSError: it is not there, or cannot be read.
    """
    with path.open("rb") as file:
        return file.read(len(MAGIC)) == MAGIC


def unpack(path: Path, folder: Path, *, key: bytes | None = None) -> Contents:
    """Write all members below an empty folder, check each, and return what is in it.

    Args:
        key: what it was sealed with; not asked for where it was not sealed.

    Raises:
        DamagedArchive: it cannot be read, lacks something, or differs from what it lists; what
            was written until then has to be thrown away.
        WrongKey: it is sealed, with another key or while none was given.
        OSError: it is not there, or cannot be read or written.
    """
    try:
        with path.open("rb") as file:
            source: Readable = file
            if file.read(len(MAGIC)) == MAGIC:
                source = Opening(file, key)
            else:
                file.seek(0)
            found, listed = _unpack(source, folder)
            # What follows the end of a tar file is authenticated too.
            while source.read(_BLOCK):
                pass
    except (tarfile.TarError, EOFError) as error:
        raise DamagedArchive(f"it breaks off, or is no archive: {error}") from error
    except BrokenSeal as error:
        raise DamagedArchive(str(error)) from error
    return _compared(found, listed)


def _unpack(source: Readable, folder: Path) -> tuple[dict[str, Member], bytes | None]:
    found: dict[str, Member] = {}
    listed: bytes | None = None
    with tarfile.open(fileobj=cast(IO[bytes], source), mode="r|") as archive:
        for info in archive:
            member = archive.extractfile(info) if info.isreg() else None
            if member is None or not _is_safe(info.name):
                raise DamagedArchive(f"{info.name} is no file of ours")
            if info.name == CONTENTS:
                listed = member.read()
            else:
                found[info.name] = _keep(member, folder / info.name)
    return found, listed


def _keep(member: IO[bytes], target: Path) -> Member:
    target.parent.mkdir(parents=True, exist_ok=True)
    reader, size = _Hashing(member), 0
    with target.open("xb") as file:
        while block := reader.read(_BLOCK):
            size += file.write(block)
    return Member(size, reader.sha256)


def _is_safe(name: str) -> bool:
    """Whether a name stays below the folder into which it is unpacked."""
    path = PurePosixPath(name)
    return not path.is_absolute() and ".." not in path.parts and bool(path.parts)


def _compared(found: dict[str, Member], listed: bytes | None) -> Contents:
    if listed is None:
        raise DamagedArchive(f"{CONTENTS} is missing: it breaks off")
    try:
        read = json.loads(listed)
        members = {name: Member(*each) for name, each in read["members"].items()}
        contents, is_ours = Contents(members, read["told"]), read["format"] == FORMAT
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise DamagedArchive(f"{CONTENTS} cannot be read") from error
    if not is_ours:
        raise DamagedArchive("a newer version wrote it: restore it with that one")
    for name in sorted({*found, *members}):
        if found.get(name) != members.get(name):
            raise DamagedArchive(f"{name} is not as it was written")
    return contents
