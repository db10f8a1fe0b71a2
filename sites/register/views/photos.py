"""Photos: the picture itself, and the pages that add one, hide it, or show it again.

Here of points and devices; other rooms extend these pages by what their photos are of.
"""

from collections.abc import Callable, Sequence
from typing import Any, ClassVar, TypeVar

from django.db.models import Model, QuerySet
from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from sites.kernel.access import SignedInRequest, devices_for, find, page_for, photos_for, points_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.pictures import picture_response
from sites.kernel.views.verb_help import property_crumbs
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import Device, Photo, Picture, Point, Property
from sites.register.forms.photos import PhotoForm
from sites.register.services.photos import (
    add_photo,
    hide_photo,
    prepare_photo,
    show_photo,
    small_copy,
)

Row = TypeVar("Row")
P = TypeVar("P", bound=Picture)
# Given a user and an action: the photos on which the user has it.
Seen = Callable[..., QuerySet[Any]]


def picture_page(
    photos: Seen, action: Action = Action.SEE_PHOTOS, *, is_small: bool = False
) -> Callable[..., HttpResponseBase]:
    """Return the view of the picture itself.

    Args:
        is_small: at the size of a thumb, so that a page of them is light on a phone.
    """

    @page_for(action)
    def picture(request: SignedInRequest, ref: str) -> HttpResponse:
        kept = find(photos(request.user), ref=ref)
        return picture_response(kept.file, *[small_copy] * is_small)

    return picture


class PhotoAddMixin(VerbView[Row]):
    """Add a photo to what the address names."""

    form_class: ClassVar[type[PhotoForm]] = PhotoForm
    heading, button = _("Add a photo of %s"), _("Keep this photo")
    done = _("The photo is kept.")

    def get_form(self) -> PhotoForm:
        """Return the form, with the file that was sent."""
        return self.form_class(self.posted, self.request.FILES or None, **self.get_form_kwargs())

    def get_watched(self) -> list[Model]:
        """Watch nothing: two people may add photos at once, and neither overwrites the other."""
        return []

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        """Return what the verb is called with: the picture, ready to be kept."""
        file = data["camera"] or data["photo"]
        prepared = prepare_photo(file, keep_position=data["keep_position"])
        return super().arguments({**data, "photo": prepared})


class PhotoView(VerbView[P]):
    """A verb on a photo; a room says which photos, and how one is shown."""

    photos: ClassVar[Seen]
    # The way from a photo to its property, loaded with it.
    with_place: ClassVar[Sequence[str]]
    figure: ClassVar[str]
    takes = "photo"
    template_name = "sites/photos/ask.html"

    def find(self) -> P:
        """Return the photo on which the user has the verb's action."""
        rows: QuerySet[P] = type(self).photos(self.user, self.may_do)
        return find(rows.select_related(*self.with_place), ref=self.kwargs["ref"])

    def get_extra(self) -> dict[str, object]:
        """Show the photo over the button."""
        return {"photo": self.row, "figure": self.figure}


class PhotoHideMixin(VerbView[P]):
    """Take a photo from its page."""

    heading, button = _("Hide this photo?"), _("Hide it")
    done = _("The photo is hidden. It can be shown again below the others.")


class PhotoShowMixin(VerbView[P]):
    """Put a hidden photo back on its page."""

    heading, button = _("Show this photo again?"), _("Show it again")
    done = _("The photo is shown again.")


photo = picture_page(photos_for)
photo_small = picture_page(photos_for, is_small=True)


class _OfThing(VerbView[Row]):
    """A page about a point or a device, or about a photo of one."""

    @property
    def owner(self) -> Point | Device:
        """What the photo is of."""
        owner = getattr(self.row, "point", None) or getattr(self.row, "device", None) or self.row
        assert isinstance(owner, Point | Device)
        return owner

    def get_place(self) -> Property:
        return self.owner.property

    def get_back(self) -> str:
        name = "sites:point" if isinstance(self.owner, Point) else "sites:device"
        return reverse(name, args=[self.owner.ref])

    def get_crumbs(self) -> Crumbs:
        own: tuple[str, Text] = (self.get_back(), str(self.owner))
        return [*property_crumbs(self.owner.property), own]


class PointPhotoAdd(_OfThing[Point], PhotoAddMixin[Point]):
    """Add a photo to a point."""

    verb = add_photo
    takes = "owner"

    def find(self) -> Point:
        rows = points_for(self.user, self.may_do).select_related("property")
        return find(rows, ref=self.kwargs["ref"])


class DevicePhotoAdd(_OfThing[Device], PhotoAddMixin[Device]):
    """Add a photo to a battery timer."""

    verb = add_photo
    takes = "owner"

    def find(self) -> Device:
        rows = devices_for(self.user, self.may_do).select_related("property")
        return find(rows, ref=self.kwargs["ref"])


class _OfPhoto(_OfThing[Photo], PhotoView[Photo]):
    photos = photos_for
    with_place = ("point__property", "device__property")
    figure = "sites/photos/_photo.html"


class PhotoHide(PhotoHideMixin[Photo], _OfPhoto):
    """Take a photo from the page of its point or device."""

    verb = hide_photo


class PhotoShow(PhotoShowMixin[Photo], _OfPhoto):
    """Put a hidden photo back."""

    verb = show_photo
