"""Packed folders of lists are read as their lists; whatever else is packed is refused in words."""

import io
import zipfile

import pytest

from sites.cells.services.refusals import UnableToRead
from sites.load.services.files import RegisterFile, read_file

LIST = b"property code,property,client\nP,P park,C\n"


def packed(**members: bytes) -> bytes:
    """Return an archive of these files, named by what stands before the underscore."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name.replace("_", "."), content)
    return file.getvalue()


def read(content: bytes) -> list[str]:
    """Return the names of the sheets in a file."""
    return [sheet.name for sheet in read_file(RegisterFile("x.zip", content))]


def test_each_list_is_a_sheet() -> None:
    assert read(packed(properties_csv=LIST, stations_csv=LIST)) == ["properties", "stations"]


@pytest.mark.parametrize(
    "content",
    [
        packed(),
        packed(properties_csv=LIST, readme_txt=b"hello"),
        packed(inner_csv=packed(inner_csv=LIST)),
        packed(properties_csv=LIST)[:-30],
        packed(properties_csv=LIST * 50).replace(b"\x85", b"\x86").replace(b"\xcb", b"\xcc"),
    ],
    ids=["empty", "other files", "folder in a folder", "cut off", "damaged"],
)
def test_anything_else_is_refused_in_words(content: bytes) -> None:
    with pytest.raises(UnableToRead):
        read(content)
