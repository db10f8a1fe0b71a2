"""Files as offices bring them, changed at random: by bytes, and inside of what is packed."""

import io
import random
import zipfile
from collections.abc import Iterator

from sites.load.services.files import RegisterFile
from tests.architecture.source import CHECKOUT
from tests.services.load import saved, workbook

ODS = """<?xml version="1.0" encoding="UTF-8"?><office:document-content
 xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
 xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet>
<table:table table:name="Stations"><table:table-row table:number-rows-repeated="3">
<table:table-cell office:value-type="string"><text:p>property</text:p></table:table-cell>
<table:table-cell office:value-type="float" office:value="2"/></table:table-row></table:table>
</office:spreadsheet></office:body></office:document-content>""".replace("\n", "")
MANIFEST = b"""<?xml version="1.0" encoding="UTF-8"?><manifest:manifest
 xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>"""
_NUMBERS = (b"0", b"-1", b"99999999", b"1048576", b"65536", b"18446744073709551616", b"1e309")
_MARKS = (b"\r", b'"', b"\x00", b"\xff", b"<", b"&", b"\n", b";", b"")


def originals() -> list[RegisterFile]:
    """Return one sound file of each kind that is read."""
    rows = [["property", "controller", "station", "since"], ["Elm", "A", 1, "2025-02-01"]]
    made = workbook(Stations=[*rows, ["Elm", "A", 2, "=1+1"]], Notes=[["x"], ["y"]])
    made["Stations"].merge_cells("A2:A3")
    made["Stations"].row_dimensions[3].hidden = True
    demo = [CHECKOUT / "fixtures" / "demo" / f"{name}.csv" for name in ("stations", "breaks")]
    texts = [RegisterFile(path.name, path.read_bytes()[:20_000]) for path in demo]
    packed = packed_up({file.filename: file.content for file in texts}, "all.zip")
    mime = b"application/vnd.oasis.opendocument.spreadsheet"
    parts = {"mimetype": mime, "content.xml": ODS.encode(), "META-INF/manifest.xml": MANIFEST}
    ods = packed_up(parts, "book.ods")
    old = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600
    return [*texts, saved(made), packed, ods, RegisterFile("old.xls", old)]


def packed_up(members: dict[str, bytes], filename: str) -> RegisterFile:
    """Return an archive of these members."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            kept = zipfile.ZIP_STORED if name == "mimetype" else zipfile.ZIP_DEFLATED
            archive.writestr(name, content, kept)
    return RegisterFile(filename, buffer.getvalue())


def changed_files(count: int, *, seed: int) -> Iterator[RegisterFile]:
    """Yield so many changed files; the same seed gives the same ones."""
    dice, sound = random.Random(seed), originals()
    for number in range(count):
        file = sound[number % len(sound)]
        if file.content.startswith(b"PK") and dice.random() < 0.7:
            yield _changed_inside(file, dice)
        else:
            yield RegisterFile(file.filename, _changed(file.content, dice))


def _changed_inside(file: RegisterFile, dice: random.Random) -> RegisterFile:
    with zipfile.ZipFile(io.BytesIO(file.content)) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    name = dice.choice(sorted(members))
    if dice.random() < 0.1:
        del members[name]
    else:
        members[name] = _changed(members[name], dice)
    return packed_up(members, file.filename)


def _changed(content: bytes, dice: random.Random) -> bytes:
    for _ in range(dice.choice((1, 1, 2, 5, 30))):
        at = dice.randrange(len(content) + 1)
        to = min(len(content), at + dice.choice((0, 1, 1, 4, 40)))
        put = dice.choice(
            (dice.choice(_MARKS), dice.choice(_NUMBERS), dice.randbytes(3), content[at:to] * 3)
        )
        content = content[:at] + put + content[to:]
    return content[: dice.randrange(len(content))] if dice.random() < 0.1 else content
