"""A photo is kept"""

from datetime import date
from io import BytesIO

import numpy as np
import pytest
from PIL import ExifTags, Image

from sites.models import Photo
from sites.register.services.photos import (
    LIGHT_BYTES,
    MOST_BYTES,
    PreparedPhoto,
    UnableToAddPhoto,
    UnableToHidePhoto,
    UnableToKeepPhoto,
    add_photo,
    hide_photo,
    light_copy,
    prepare_photo,
    show_photo,
)
from tests import make

POSITION = {
    ExifTags.GPS.GPSLatitudeRef: "N",
    ExifTags.GPS.GPSLatitude: (38.0, 30.0, 0.0),
    ExifTags.GPS.GPSLongitudeRef: "W",
    ExifTags.GPS.GPSLongitude: (121.0, 15.0, 36.0),
}


def picture(
    width: int = 40, height: int = 20, *, kind: str = "JPEG", orientation: int = 1, **given: object
) -> BytesIO:
    """Make a picture whose left half is red, with what a phone writes beside it."""
    image = Image.new("RGB", (width, height), "white")
    image.paste("red", (0, 0, width // 2, height))
    exif = Image.Exif()
    exif[ExifTags.Base.Make] = "canary maker"
    exif[ExifTags.Base.Orientation] = orientation
    exif.get_ifd(ExifTags.IFD.GPSInfo).update(POSITION)
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = "2025:05:04 23:59:00"
    file = BytesIO()
    image.save(file, kind, exif=exif, **given)
    file.seek(0)
    return file


def kept(photo: PreparedPhoto) -> Image.Image:
    """Open what was written."""
    return Image.open(BytesIO(photo.content))


def test_as_jpeg_whatever_it_was() -> None:
    for kind in ("PNG", "WEBP", "JPEG"):
        assert kept(prepare_photo(picture(kind=kind), keep_position=False)).format == "JPEG"


def test_without_anything_that_the_camera_added() -> None:
    photo = prepare_photo(picture(comment=b"canary comment"), keep_position=True)
    image = kept(photo)
    assert not dict(image.getexif())
    assert b"canary" not in photo.content
    assert b"Exif" not in photo.content
    assert "comment" not in image.info


def test_without_its_position_unless_asked() -> None:
    photo = prepare_photo(picture(), keep_position=False)
    assert (photo.latitude, photo.longitude) == (None, None)


def test_with_its_position_when_asked() -> None:
    photo = prepare_photo(picture(), keep_position=True)
    assert photo.latitude == pytest.approx(38.5)
    assert photo.longitude == pytest.approx(-121.26)


def test_without_a_position_off_the_globe() -> None:
    off = {**POSITION, ExifTags.GPS.GPSLatitude: (200.0, 0.0, 0.0)}
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.GPSInfo).update(off)
    file = BytesIO()
    Image.new("RGB", (4, 4)).save(file, "JPEG", exif=exif)
    assert prepare_photo(file, keep_position=True).latitude is None


def test_with_the_day_on_the_cameras_clock() -> None:
    assert prepare_photo(picture(), keep_position=False).taken_on == date(2025, 5, 4)


def test_upright() -> None:
    turned = prepare_photo(picture(40, 20, orientation=6), keep_position=False)
    assert (turned.width_px, turned.height_px) == (20, 40)
    red, green, _ = kept(turned).getpixel((10, 5))  # type: ignore[misc]
    assert red > 200
    assert green < 60


def test_with_its_longest_side_cut_down() -> None:
    photo = prepare_photo(picture(3000, 1500), keep_position=False)
    assert (photo.width_px, photo.height_px) == (2000, 1000)


def test_on_white_where_it_is_clear() -> None:
    file = BytesIO()
    Image.new("RGBA", (8, 8), (0, 0, 0, 0)).save(file, "PNG")
    assert min(kept(prepare_photo(file, keep_position=False)).getpixel((4, 4))) > 250  # type: ignore[type-var,arg-type]


@pytest.mark.parametrize("mode", ["1", "L", "P", "I;16", "CMYK"])
def test_whatever_its_colours(mode: str) -> None:
    file = BytesIO()
    Image.new(mode, (8, 8)).save(file, "JPEG" if mode == "CMYK" else "PNG")
    assert prepare_photo(file, keep_position=False).width_px == 8


def test_not_when_it_is_a_page_with_the_name_of_a_photo() -> None:
    page = BytesIO(b"<!doctype html><script>alert(1)</script>")
    page.name = "box.jpg"
    with pytest.raises(UnableToKeepPhoto, match="not a picture") as refusal:
        prepare_photo(page, keep_position=False)
    assert refusal.value.field == "photo"


def test_without_a_page_that_hides_behind_the_picture() -> None:
    file = BytesIO(picture().read() + b"<script>canary</script>")
    assert b"script" not in prepare_photo(file, keep_position=False).content


def test_not_when_it_would_fill_the_memory() -> None:
    file = BytesIO()
    Image.new("1", (10_000, 6_000)).save(file, "PNG")
    assert len(file.getvalue()) < 100_000
    with pytest.raises(UnableToKeepPhoto, match="50 million"):
        prepare_photo(file, keep_position=False)


def test_not_when_its_head_tells_of_far_too_many_pixels() -> None:
    file = BytesIO()
    Image.new("1", (20_000, 20_000)).save(file, "PNG")
    with pytest.raises(UnableToKeepPhoto, match="50 million"):
        prepare_photo(file, keep_position=False)


def test_not_when_it_is_too_large_a_file() -> None:
    with pytest.raises(UnableToKeepPhoto, match="15 MB"):
        prepare_photo(BytesIO(b"x" * (MOST_BYTES + 1)), keep_position=False)


def test_not_when_it_is_empty() -> None:
    with pytest.raises(UnableToKeepPhoto, match="empty"):
        prepare_photo(BytesIO(), keep_position=False)


def test_not_when_it_breaks_off() -> None:
    file = BytesIO()
    Image.effect_noise((200, 200), 80).save(file, "PNG")
    with pytest.raises(UnableToKeepPhoto, match="broken"):
        prepare_photo(BytesIO(file.getvalue()[:9000]), keep_position=False)


def test_of_a_point_by_whom_and_when(db: None) -> None:
    point, user = make.point(), make.user()
    photo = add_photo(
        owner=point,
        photo=prepare_photo(picture(), keep_position=False),
        caption="lid off",
        by=user,
        at=make.NOW,
    )
    assert (photo.point, photo.device, photo.caption) == (point, None, "lid off")
    assert (photo.added_by, photo.added_at) == (user, make.NOW)
    assert Image.open(photo.file).size == (40, 20)
    assert photo.history.count() == 1


def test_of_a_device(db: None) -> None:
    assert photo_of(device=make.device()).device is not None


def test_under_a_name_that_tells_nothing_of_the_file_brought(db: None) -> None:
    photo = photo_of()
    assert photo.file.name.startswith(f"photos/{photo.ref}")


def test_not_of_a_retired_point(db: None) -> None:
    point = make.point(retired_on=date(2025, 1, 1))
    with pytest.raises(UnableToAddPhoto, match="retired"):
        photo_of(point=point)


def test_not_beyond_sixty_shown(db: None) -> None:
    point = make.point()
    Photo.objects.bulk_create(
        Photo(point=point, width_px=1, height_px=1, added_at=make.NOW) for _ in range(60)
    )
    with pytest.raises(UnableToAddPhoto, match="60"):
        photo_of(point=point)


def test_when_hidden_and_can_be_shown_again(db: None) -> None:
    photo = photo_of()
    hide_photo(photo=photo, today=make.TODAY)
    photo.refresh_from_db()
    assert photo.hidden_on == make.TODAY
    show_photo(photo=photo)
    photo.refresh_from_db()
    assert photo.hidden_on is None
    assert photo.history.count() == 3


def test_and_hidden_or_shown_once_only(db: None) -> None:
    photo = photo_of()
    with pytest.raises(UnableToHidePhoto):
        show_photo(photo=photo)
    hide_photo(photo=photo, today=make.TODAY)
    with pytest.raises(UnableToHidePhoto):
        hide_photo(photo=photo, today=make.TODAY)


def photo_of(**given: object) -> Photo:
    """Add a photo to a point, or to the thing given."""
    owner = given.get("device") or given.get("point") or make.point()
    prepared = prepare_photo(picture(), keep_position=False)
    return add_photo(owner=owner, photo=prepared, caption="", by=make.user(), at=make.NOW)  # type: ignore[arg-type]


@pytest.mark.parametrize("side", [2, 300, 2000])
def test_a_copy_to_take_along_weighs_little_whatever_it_shows(side: int) -> None:
    # Noise is what JPEG keeps worst.
    draws = np.random.default_rng(side)
    noise = Image.fromarray(draws.integers(0, 256, (side, side, 3), dtype=np.uint8))
    file = BytesIO()
    noise.save(file, "JPEG", quality=95)
    light = light_copy(file.getvalue())
    assert len(light) <= LIGHT_BYTES
    with Image.open(BytesIO(light)) as image:
        assert image.width == min(side, image.width)
        assert image.width >= min(side, 160)


def test_a_plain_copy_to_take_along_keeps_its_size_in_pixels() -> None:
    file = picture(1200, 900)
    with Image.open(BytesIO(light_copy(file.getvalue()))) as image:
        assert image.size == (360, 270)
