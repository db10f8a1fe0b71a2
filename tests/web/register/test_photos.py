"""Photos through the browser: added in the field, seen by users who may see the place."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.template.loader import render_to_string

from sites.kernel.engines.roles import Role
from sites.models import Photo
from tests import make
from tests.cast import Cast, Corner
from tests.services.register.test_photos import picture
from tests.web.pages import open_page, send

pytestmark = pytest.mark.django_db


def brought(content: BytesIO | bytes | None = None, name: str = "box.jpg") -> SimpleUploadedFile:
    """Return a file as a browser sends it."""
    data = content if isinstance(content, bytes) else (content or picture()).read()
    return SimpleUploadedFile(name, data, "image/jpeg")


@pytest.fixture
def photo(ours: Corner) -> Photo:
    """A photo of a point of our client."""
    return make.photo(point=make.point(property=ours.property), caption="lid off")


def panel(photo: Photo, **may: bool) -> str:
    """Return the panel of photos as the page of the photo's point includes it."""
    assert photo.point is not None
    return render_to_string("sites/photos/_panel.html", {"owner": photo.point, "may_here": may})


def test_a_technician_adds_one_to_a_point(ours: Corner, cast: Cast) -> None:
    point = make.point(property=ours.property)
    sheet = send(
        cast.technician, f"/points/{point.ref}/photos/add/", photo=brought(), caption=" lid  off "
    )
    assert sheet.messages == ["The photo is kept."]
    kept = point.photos.get()
    assert (kept.caption, kept.added_by, kept.latitude) == ("lid off", cast.technician, None)


def test_the_camera_of_a_phone_serves_as_well_as_a_file(ours: Corner, cast: Cast) -> None:
    device = ours.property.devices.get()
    address = f"/devices/{device.ref}/photos/add/"
    (camera,) = open_page(cast.technician, address).tree.find("input", name="camera")
    assert camera.attributes["capture"] == "environment"
    send(cast.technician, address, camera=brought(), keep_position="on")
    assert device.photos.get().latitude == pytest.approx(38.5)


def test_a_refused_file_leaves_the_caption_in_the_form(ours: Corner, cast: Cast) -> None:
    point = make.point(property=ours.property)
    fake = brought(b"<!doctype html><script>alert(1)</script>")
    sheet = send(cast.technician, f"/points/{point.ref}/photos/add/", photo=fake, caption="lid off")
    assert sheet.status == 422
    assert "not a picture" in sheet.errors[0]
    assert sheet.value("caption") == "lid off"
    assert not point.photos.exists()


def test_a_form_without_a_file_says_what_is_missing(ours: Corner, cast: Cast) -> None:
    point = make.point(property=ours.property)
    sheet = send(cast.technician, f"/points/{point.ref}/photos/add/", caption="lid off")
    assert (sheet.status, sheet.errors) == (422, ["Choose a photo, or take one."])


def test_it_is_sent_as_a_picture_and_as_nothing_else(photo: Photo, cast: Cast) -> None:
    for size in ("photo", "small"):
        answer = open_page(cast.client_user, f"/photos/{photo.ref}/{size}.jpg").response
        assert answer.status_code == 200
        assert answer.headers["Content-Type"] == "image/jpeg"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Content-Disposition"] == "inline"
        assert answer.headers["Cache-Control"].startswith("private")
        assert answer.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
        assert answer.content.startswith(b"\xff\xd8")


@pytest.mark.parametrize("page", ["photo.jpg", "small.jpg", "hide/", "show/"])
def test_another_clients_is_not_found(photo: Photo, cast: Cast, page: str) -> None:
    address = f"/photos/{photo.ref}/{page}"
    allowed = {404} if page.endswith("jpg") else {403, 404}
    assert open_page(cast.outsider, address).status in allowed
    other = make.user(Role.TECHNICIAN, client=make.client())
    assert open_page(other, address).status == 404


def test_a_client_may_see_but_not_add(photo: Photo, cast: Cast) -> None:
    assert photo.point is not None
    assert open_page(cast.client_user, f"/points/{photo.point.ref}/photos/add/").status == 403
    assert open_page(cast.client_user, f"/photos/{photo.ref}/hide/").status == 403


def test_a_hidden_one_is_seen_only_by_those_who_may_show_it(photo: Photo, cast: Cast) -> None:
    sheet = send(cast.dispatcher, f"/photos/{photo.ref}/hide/")
    assert "hidden" in sheet.messages[0]
    assert open_page(cast.client_user, f"/photos/{photo.ref}/photo.jpg").status == 404
    assert open_page(cast.technician, f"/photos/{photo.ref}/photo.jpg").status == 200
    assert "lid off" not in panel(photo, see_photos=True)
    assert "Show again" in panel(photo, see_photos=True, add_photos=True)


def test_a_hidden_one_can_be_shown_again(photo: Photo, cast: Cast) -> None:
    send(cast.dispatcher, f"/photos/{photo.ref}/hide/")
    send(cast.dispatcher, f"/photos/{photo.ref}/show/")
    assert open_page(cast.client_user, f"/photos/{photo.ref}/photo.jpg").status == 200


def test_hiding_twice_is_refused_in_words(photo: Photo, cast: Cast) -> None:
    send(cast.dispatcher, f"/photos/{photo.ref}/hide/")
    sheet = send(cast.dispatcher, f"/photos/{photo.ref}/hide/")
    assert sheet.status == 422
    assert "hidden already" in sheet.words


def test_one_whose_file_is_gone_is_not_found(photo: Photo, cast: Cast) -> None:
    photo.file.storage.delete(photo.file.name)
    assert open_page(cast.owner, f"/photos/{photo.ref}/photo.jpg").status == 404


def test_the_panel_offers_to_add_only_where_that_is_allowed(photo: Photo) -> None:
    assert "lid off" in panel(photo, see_photos=True)
    assert "photos/add" not in panel(photo, see_photos=True)
    assert "photos/add" in panel(photo, see_photos=True, add_photos=True)


def test_the_panel_names_who_added_it_to_our_own_people_only(photo: Photo, cast: Cast) -> None:
    photo.added_by = cast.technician
    photo.save()
    assert "tessa" not in panel(photo, see_photos=True)
    assert "tessa" in panel(photo, see_photos=True, see_history=True)


def test_a_caption_is_text_and_never_markup(photo: Photo) -> None:
    photo.caption = "<b>lid</b>"
    photo.save()
    assert "<b>" not in panel(photo, see_photos=True)
