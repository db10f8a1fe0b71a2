"""Photos as paper needs them: some 8 cm wide there, so that more pixels only make files heavy."""

from io import BytesIO

from django.db.models.fields.files import FieldFile

from sites.kernel.lazily import lazily

Image = lazily("PIL.Image")
WIDEST_PX = 1000


def for_paper(file: FieldFile) -> bytes:
    """Return a photo as a JPEG of at most `WIDEST_PX` either way."""
    with file.open("rb") as opened, Image.open(opened) as picture:
        shown = picture.convert("RGB")
        shown.thumbnail((WIDEST_PX, WIDEST_PX))
        made = BytesIO()
        shown.save(made, "JPEG", quality=85)
    return made.getvalue()
