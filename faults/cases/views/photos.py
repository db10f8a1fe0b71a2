"""Photos of faults and breaks: add one, show it to users who may see the fault, hide it."""

from collections.abc import Callable
from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.access import fault_photos_for, faults_for
from faults.cases.forms.photos import FaultPhotoForm
from faults.cases.services.photos import add_fault_photo, hide_fault_photo, show_fault_photo
from faults.cases.views.common import crumbs_of, fault_url, posted, today_at
from faults.models import FaultPhoto
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.pictures import picture_response
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.register.forms.photos import AskForm
from sites.register.services.photos import prepare_photo, small_copy


@page_for(Action.SEE_PHOTOS)
def fault_photo(request: SignedInRequest, ref: str) -> HttpResponse:
    """The picture itself."""
    return picture_response(find(fault_photos_for(request.user), ref=ref).file)


@page_for(Action.SEE_PHOTOS)
def fault_photo_small(request: SignedInRequest, ref: str) -> HttpResponse:
    """The picture at the size of a thumb."""
    return picture_response(find(fault_photos_for(request.user), ref=ref).file, small_copy)


@page_for(Action.ADD_PHOTOS)
def fault_photo_add(request: SignedInRequest, ref: str) -> HttpResponse:
    """Add a photo to a fault, or to one of its breaks."""
    faults = faults_for(request.user, Action.ADD_PHOTOS)
    fault = find(faults.select_related("property"), ref=ref)
    of = request.GET.get("break", "")
    form = FaultPhotoForm(posted(request), request.FILES or None, fault=fault, of_break=of)

    def act(data: dict[str, Any]) -> str:
        file = data["camera"] or data["photo"]
        add_fault_photo(
            fault=fault,
            photo=prepare_photo(file, keep_position=data["keep_position"]),
            by=request.user,
            at=timezone.now(),
            of_break=form.chosen_break(),
            shows=data["shows"],
            caption=" ".join(data["caption"].split()),
        )
        return _("The photo is kept.")

    page = VerbPage(
        heading=_("Add a photo of %s") % fault,
        button=_("Keep this photo"),
        back=fault_url(fault),
        # Two people may add photos to one fault at once: neither overwrites the other.
        watched=[],
        act=act,
        crumbs=crumbs_of(fault),
    )
    return verb_page(request, form, page)


@page_for(Action.ADD_PHOTOS)
def fault_photo_hide(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take a photo from the fault's page and from the evidence."""
    kept = _kept(request, ref)

    def act(_data: dict[str, Any]) -> str:
        hide_fault_photo(photo=kept, today=today_at(kept.fault.property))
        return _("The photo is hidden. It can be shown again below the others.")

    return _ask(request, kept, act, _("Hide this photo?"), _("Hide it"))


@page_for(Action.ADD_PHOTOS)
def fault_photo_show(request: SignedInRequest, ref: str) -> HttpResponse:
    """Put a hidden photo back."""
    kept = _kept(request, ref)

    def act(_data: dict[str, Any]) -> str:
        show_fault_photo(photo=kept)
        return _("The photo is shown again.")

    return _ask(request, kept, act, _("Show this photo again?"), _("Show it again"))


def _kept(request: SignedInRequest, ref: str) -> FaultPhoto:
    photos = fault_photos_for(request.user, Action.ADD_PHOTOS)
    return find(photos.select_related("fault__property"), ref=ref)


def _ask(
    request: SignedInRequest,
    kept: FaultPhoto,
    act: Callable[[dict[str, Any]], str],
    heading: str,
    button: str,
) -> HttpResponse:
    page = VerbPage(
        heading=heading,
        button=button,
        back=fault_url(kept.fault),
        watched=[kept],
        act=act,
        crumbs=crumbs_of(kept.fault),
        template="faults/verbs/ask_photo.html",
        extra={"photo": kept},
    )
    return verb_page(request, AskForm(posted(request)), page)
