"""Photos of points and devices, and what makes any picture safe to keep and to show.

Every picture is decoded and re-encoded: nothing of the uploaded file is stored, neither what a
camera wrote beside the picture nor what was hidden in it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from io import BytesIO
from typing import IO, TYPE_CHECKING, Any, TypeVar

from django.core.files.base import ContentFile
from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.lazily import lazily
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Device, Photo, Picture, Point, User

if TYPE_CHECKING:
    import PIL
    from PIL import ExifTags, Image
else:
    PIL, ExifTags, Image = lazily("PIL"), lazily("PIL.ExifTags"), lazily("PIL.Image")

P = TypeVar("P", bound=Picture)

MOST_BYTES = 15 * 1024 * 1024
MOST_PIXELS = 50_000_000
LONGEST_SIDE_PX = 2000
SMALL_SIDE_PX = 480
JPEG_QUALITY = 85
MOST_SHOWN = 60
# What a phone takes along: side in pixels and quality, until one weighs no more than this.
LIGHT_BYTES = 24_000
LIGHT = ((360, 70), (360, 45), (240, 45), (160, 40))

# Only what cameras and drawing programs write: each further format is one more parser that a
# stranger's file may try to trip.
FORMATS = ("JPEG", "PNG", "WEBP", "GIF")

# What the camera says of how it was held, and the turn that sets the picture upright.
TURNS = {
    2: "FLIP_LEFT_RIGHT",
    3: "ROTATE_180",
    4: "FLIP_TOP_BOTTOM",
    5: "TRANSPOSE",
    6: "ROTATE_270",
    7: "TRANSVERSE",
    8: "ROTATE_90",
}


class UnableToKeepPhoto(UnableToAct):
    """The file is no picture, or one that is too large or broken."""

    def __init__(self, message: str) -> None:
        super().__init__(message, field="photo")


class UnableToAddPhoto(UnableToAct):
    """The point or device takes no further photo."""


class UnableToHidePhoto(UnableToAct):
    """The photo is hidden already, or shown already."""


@dataclass(frozen=True)
class PreparedPhoto:
    """A picture re-encoded as JPEG, upright, without anything that the camera added."""

    content: bytes
    width_px: int
    height_px: int
    latitude: float | None = None
    longitude: float | None = None
    taken_on: date | None = None


def prepare_photo(
    file: IO[bytes],
    *,
    keep_position: bool,
    longest_side_px: int = LONGEST_SIDE_PX,
    quality: int = JPEG_QUALITY,
) -> PreparedPhoto:
    """Return the picture in `file` re-encoded, small enough to send to a phone.

    Args:
        keep_position: read where the picture was taken, which is dropped otherwise.

    Raises:
        UnableToKeepPhoto: with what to do instead.
    """
    image = _opened(_content(file))
    with image:
        exif = _exif(image)
        pixels = _upright_pixels(image, exif, longest_side_px)
    written = BytesIO()
    pixels.save(written, "JPEG", quality=quality, optimize=True, progressive=True)
    latitude, longitude = _position(exif) if keep_position else (None, None)
    return PreparedPhoto(
        written.getvalue(), pixels.width, pixels.height, latitude, longitude, _taken_on(exif)
    )


def small_copy(content: bytes) -> bytes:
    """Return a kept picture at the size of a thumb."""
    with Image.open(BytesIO(content), formats=("JPEG",)) as image:
        image.thumbnail((SMALL_SIDE_PX, SMALL_SIDE_PX))
        written = BytesIO()
        image.save(written, "JPEG", quality=JPEG_QUALITY)
    return written.getvalue()


def light_copy(content: bytes) -> bytes:
    """Return a kept picture in at most LIGHT_BYTES, for a phone that takes many along."""
    written = BytesIO()
    with Image.open(BytesIO(content), formats=("JPEG",)) as image:
        for side_px, quality in LIGHT:
            image.thumbnail((side_px, side_px))
            written = BytesIO()
            image.save(written, "JPEG", quality=quality, optimize=True)
            if written.tell() <= LIGHT_BYTES:
                break
    return written.getvalue()


def _content(file: IO[bytes]) -> bytes:
    file.seek(0)
    content = file.read(MOST_BYTES + 1)
    if not content:
        raise UnableToKeepPhoto(_("This file is empty. Choose the photo again."))
    if len(content) > MOST_BYTES:
        raise UnableToKeepPhoto(
            _("This file is larger than 15 MB. Save a smaller copy of it and send that.")
        )
    return content


def _opened(content: bytes) -> Image.Image:
    """Read the head of the file only, and refuse by it what would fill the memory."""
    # Pillow meets formats by use, and fails on the name of one that it has not met.
    Image.init()
    try:
        image = Image.open(BytesIO(content), formats=FORMATS)
    except Image.DecompressionBombError as problem:
        raise UnableToKeepPhoto(_too_many_pixels()) from problem
    except PIL.UnidentifiedImageError as problem:
        raise UnableToKeepPhoto(
            _(
                "This file is not a picture that can be read. Send a JPEG or PNG; a phone that "
                "keeps another kind sends JPEG when it is set to “most compatible”."
            )
        ) from problem
    except Exception as problem:
        raise UnableToKeepPhoto(_broken()) from problem
    if image.width * image.height > MOST_PIXELS:
        raise UnableToKeepPhoto(_too_many_pixels())
    return image


def _too_many_pixels() -> str:
    return _("This picture has more than 50 million pixels. Save a smaller copy and send that.")


def _broken() -> str:
    return _("This picture is broken and cannot be read to its end. Take or save it again.")


def _upright_pixels(image: Image.Image, exif: Image.Exif, longest_side_px: int) -> Image.Image:
    """Return the pixels alone: pasting leaves comments, profiles and thumbnails behind."""
    most = (longest_side_px, longest_side_px)
    try:
        # A large JPEG is read at half or a quarter of its size, which takes a part of the time.
        image.draft(None, most)
        solid = image.convert("RGBA" if image.has_transparency_data else "RGB")
        solid.thumbnail(most)
        pixels = Image.new("RGB", solid.size, "white")
        pixels.paste(solid, mask=solid if solid.mode == "RGBA" else None)
    # A decoder raises whatever it trips over in a broken or hostile file.
    except Exception as problem:
        raise UnableToKeepPhoto(_broken()) from problem
    turn = TURNS.get(_orientation(exif))
    return pixels if turn is None else pixels.transpose(Image.Transpose[turn])


def _orientation(exif: Image.Exif) -> int:
    try:
        return int(exif.get(ExifTags.Base.Orientation, 1))
    except Exception:
        return 1


def _exif(image: Image.Image) -> Image.Exif:
    """Return what the camera wrote, or nothing where that is broken: the picture may be fine."""
    try:
        return image.getexif()
    except Exception:
        return Image.Exif()


def _taken_on(exif: Image.Exif) -> date | None:
    try:
        inner = exif.get_ifd(ExifTags.IFD.Exif)
        text = inner.get(ExifTags.Base.DateTimeOriginal) or exif.get(ExifTags.Base.DateTime)
        # A day on the camera's own clock: it has no time zone to be turned into another.
        return datetime.strptime(str(text)[:10], "%Y:%m:%d").date()  # noqa: DTZ007
    except Exception:
        return None


def _position(exif: Image.Exif) -> tuple[float | None, float | None]:
    try:
        gps: Mapping[int, Any] = exif.get_ifd(ExifTags.IFD.GPSInfo)
        latitude = _degrees(gps, ExifTags.GPS.GPSLatitude, ExifTags.GPS.GPSLatitudeRef, "S")
        longitude = _degrees(gps, ExifTags.GPS.GPSLongitude, ExifTags.GPS.GPSLongitudeRef, "W")
    except Exception:
        return None, None
    is_on_the_globe = abs(latitude) <= 90 and abs(longitude) <= 180
    # Cameras without a fix write zeros.
    return (latitude, longitude) if is_on_the_globe and (latitude or longitude) else (None, None)


def _degrees(gps: Mapping[int, Any], value: int, ref: int, below_zero: str) -> float:
    degrees, minutes, seconds = (float(part) for part in gps[value])
    size = degrees + minutes / 60 + seconds / 3600
    return -size if str(gps[ref]).upper().startswith(below_zero) else size


def keep_picture(row: P, photo: PreparedPhoto, *, by: User | None, at: datetime, caption: str) -> P:
    """Keep a prepared photo in a row that already says what it shows."""
    row.width_px, row.height_px = photo.width_px, photo.height_px
    row.latitude, row.longitude = photo.latitude, photo.longitude
    row.taken_on, row.caption = photo.taken_on, caption
    row.added_by, row.added_at = by, at
    row.file.save("", ContentFile(photo.content), save=False)
    row.save()
    return row


def hiding_verbs(noun: str, action: Action) -> tuple[Callable[..., None], Callable[..., None]]:
    """Return the verbs that hide a kind of photo, whose file stays, and show it again.

    Both take the `photo` and raise UnableToHidePhoto where nothing would change; hiding takes
    `today` besides.
    """
    hiding, showing = f"hide {noun}", f"show {noun} again"

    @verb(name=hiding, action=action, guard="it is shown", undo=showing)
    def hide(*, photo: Picture, today: date) -> None:
        if photo.hidden_on:
            raise UnableToHidePhoto(_("This photo is hidden already."))
        photo.hidden_on = today
        photo.save()

    @verb(name=showing, action=action, guard="it is hidden", undo=hiding)
    def show(*, photo: Picture) -> None:
        if photo.hidden_on is None:
            raise UnableToHidePhoto(_("This photo is shown already."))
        photo.hidden_on = None
        photo.save()

    return hide, show


@verb(
    name="add a photo",
    action=Action.ADD_PHOTOS,
    guard="the file is a picture within limits; the point is not retired; fewer than 60 are shown",
    undo="hide a photo",
)
def add_photo(
    *, owner: Point | Device, photo: PreparedPhoto, caption: str, by: User | None, at: datetime
) -> Photo:
    """Keep a photo of a point or of a device.

    Raises:
        UnableToAddPhoto: the point is retired, or has as many photos as its page shows.
    """
    if isinstance(owner, Point) and owner.retired_on:
        raise UnableToAddPhoto(_("This point is retired. Add the photo to the one in its place."))
    if owner.photos.filter(hidden_on__isnull=True).count() >= MOST_SHOWN:
        raise UnableToAddPhoto(_("60 photos are shown here already. Hide one that is out of date."))
    row = Photo(**{"point" if isinstance(owner, Point) else "device": owner})
    return keep_picture(row, photo, by=by, at=at, caption=caption)


hide_photo, show_photo = hiding_verbs("a photo", Action.ADD_PHOTOS)
