"""Photos of points and devices: add one, show it to users who may see it, hide it."""

from collections.abc import Callable
from typing import Any

from django.http import HttpResponse
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from sites.kernel.access import SignedInRequest, devices_for, find, page_for, photos_for, points_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.pictures import picture_response
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Device, Photo, Point
from sites.register.forms.photos import AskForm, PhotoForm
from sites.register.services.photos import (
    add_photo,
    hide_photo,
    prepare_photo,
    show_photo,
    small_copy,
)


@page_for(Action.SEE_PHOTOS)
def photo(request: SignedInRequest, ref: str) -> HttpResponse:
    """The picture itself."""
    return picture_response(find(photos_for(request.user), ref=ref).file)


@page_for(Action.SEE_PHOTOS)
def photo_small(request: SignedInRequest, ref: str) -> HttpResponse:
    """The picture at the size of a thumb, so that a page of them is light on a phone."""
    kept = find(photos_for(request.user), ref=ref)
    return picture_response(kept.file, small_copy)


@page_for(Action.ADD_PHOTOS)
def point_photo_add(request: SignedInRequest, ref: str) -> HttpResponse:
    """Add a photo to a point."""
    points = points_for(request.user, Action.ADD_PHOTOS).select_related("property")
    return _add(request, find(points, ref=ref))


@page_for(Action.ADD_PHOTOS)
def device_photo_add(request: SignedInRequest, ref: str) -> HttpResponse:
    """Add a photo to a battery timer."""
    devices = devices_for(request.user, Action.ADD_PHOTOS).select_related("property")
    return _add(request, find(devices, ref=ref))


def _add(request: SignedInRequest, owner: Point | Device) -> HttpResponse:
    form = PhotoForm(request.POST or None, request.FILES or None)

    def act(data: dict[str, Any]) -> str:
        file = data["camera"] or data["photo"]
        prepared = prepare_photo(file, keep_position=data["keep_position"])
        caption = " ".join(data["caption"].split())
        add_photo(owner=owner, photo=prepared, caption=caption, by=request.user, at=timezone.now())
        return _("The photo is kept.")

    return verb_page(
        request,
        form,
        VerbPage(
            heading=_("Add a photo of %s") % owner,
            button=_("Keep this photo"),
            back=_page_of(owner),
            # Two people may add photos to one thing at once: neither overwrites the other.
            watched=[],
            act=act,
            crumbs=_crumbs(owner),
        ),
    )


@page_for(Action.ADD_PHOTOS)
def photo_hide(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take a photo from the page."""
    kept = _kept(request, ref)

    def act(_data: dict[str, Any]) -> str:
        hide_photo(photo=kept, today=timezone.localdate())
        return _("The photo is hidden. It can be shown again below the others.")

    return _ask(request, kept, act, _("Hide this photo?"), _("Hide it"))


@page_for(Action.ADD_PHOTOS)
def photo_show(request: SignedInRequest, ref: str) -> HttpResponse:
    """Put a hidden photo back."""
    kept = _kept(request, ref)

    def act(_data: dict[str, Any]) -> str:
        show_photo(photo=kept)
        return _("The photo is shown again.")

    return _ask(request, kept, act, _("Show this photo again?"), _("Show it again"))


def _kept(request: SignedInRequest, ref: str) -> Photo:
    photos = photos_for(request.user, Action.ADD_PHOTOS)
    return find(photos.select_related("point__property", "device__property"), ref=ref)


def _ask(
    request: SignedInRequest,
    kept: Photo,
    act: Callable[[dict[str, Any]], str],
    heading: str,
    button: str,
) -> HttpResponse:
    owner = kept.point or kept.device
    assert owner is not None
    return verb_page(
        request,
        AskForm(request.POST if request.method == "POST" else None),
        VerbPage(
            heading=heading,
            button=button,
            back=_page_of(owner),
            watched=[kept],
            act=act,
            crumbs=_crumbs(owner),
            template="sites/photos/ask.html",
            extra={"photo": kept},
        ),
    )


def _page_of(owner: Point | Device) -> str:
    name = "sites:point" if isinstance(owner, Point) else "sites:device"
    try:
        return reverse(name, args=[owner.ref])
    except NoReverseMatch:
        return reverse("reports:property", args=[owner.property.ref])


def _crumbs(owner: Point | Device) -> list[tuple[str, str]]:
    place = owner.property
    return [
        (reverse("sites:properties"), _("Properties")),
        (reverse("reports:property", args=[place.ref]), place.code),
        (_page_of(owner), str(owner)),
    ]
