"""What the operator's guide prints, read for tests: its commands and its files."""

import re
import shlex
from configparser import ConfigParser
from pathlib import Path

from tests.services_real.worker import CHECKOUT

FOLDER = CHECKOUT / "sites/project/service"
GUIDE = CHECKOUT / "sites/project/operators_guide.md"
UNITS = sorted(FOLDER.glob("*.service"))
_BLOCK = re.compile(r"^```sh\n(.*?)^```$", re.M | re.S)
_INLINE = re.compile(r"`(rejoin [^`]+)`")


def lines() -> list[str]:
    """Return every line of the guide's blocks of commands, in order."""
    return [line for block in _BLOCK.findall(GUIDE.read_text()) for line in block.splitlines()]


def rejoin_commands() -> list[list[str]]:
    """Return the words after `rejoin` of each such command, in blocks first, then in text."""
    inline = [shlex.split(each) for each in _INLINE.findall(GUIDE.read_text())]
    blocks = [shlex.split(line) for line in lines() if line.startswith("rejoin ")]
    return [words[1:] for words in [*blocks, *inline]]


def unit(path: Path) -> ConfigParser:
    """Return a unit file as sections and keys."""
    read = ConfigParser(strict=True, interpolation=None)
    read.optionxform = str  # type: ignore[assignment,method-assign]
    read.read_string(path.read_text())
    return read


def variables() -> dict[str, str]:
    """Return what rejoin.env sets."""
    found = {}
    for line in (FOLDER / "rejoin.env").read_text().splitlines():
        if line and not line.startswith("#"):
            (word,) = shlex.split(line)
            name, _, value = word.partition("=")
            found[name] = value
    return found
