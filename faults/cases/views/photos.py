"""Photos of faults and breaks: add one, show it to users who may see the fault, hide it."""

from faults.access import fault_photos_for
from faults.cases.forms.photos import FaultPhotoForm
from faults.cases.services.photos import add_fault_photo, hide_fault_photo, show_fault_photo
from faults.cases.views.common import FaultView, OfFaultView
from faults.models import Fault, FaultPhoto
from sites.register.views.photos import (
    PhotoAddMixin,
    PhotoHideMixin,
    PhotoShowMixin,
    PhotoView,
    picture_page,
)

fault_photo = picture_page(fault_photos_for)
fault_photo_small = picture_page(fault_photos_for, is_small=True)


class FaultPhotoAdd(FaultView, PhotoAddMixin[Fault]):
    """Add a photo to a fault, or to one of its breaks."""

    verb = add_fault_photo
    form_class = FaultPhotoForm

    def get_form_kwargs(self) -> dict[str, object]:
        return {**super().get_form_kwargs(), "of_break": self.request.GET.get("break", "")}


class _OfPhoto(OfFaultView[FaultPhoto], PhotoView[FaultPhoto]):
    photos = fault_photos_for
    with_place = ("fault__property",)
    figure = "faults/verbs/_photo.html"

    @property
    def fault(self) -> Fault:
        """The fault that the photo is of."""
        return self.row.fault


class FaultPhotoHide(PhotoHideMixin[FaultPhoto], _OfPhoto):
    """Take a photo from the fault's page and from the evidence."""

    verb = hide_fault_photo


class FaultPhotoShow(PhotoShowMixin[FaultPhoto], _OfPhoto):
    """Put a hidden photo back."""

    verb = show_fault_photo
