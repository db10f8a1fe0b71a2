"""Photos of faults and breaks: add one, show it to users who may see the fault, hide it."""

from typing import Any, TypeVar

from faults.access import fault_photos_for, faults_for
from faults.cases.forms.photos import FaultPhotoForm
from faults.cases.services.photos import add_fault_photo, hide_fault_photo, show_fault_photo
from faults.cases.views.common import crumbs_of, fault_url
from faults.models import Fault, FaultPhoto
from sites.kernel.access import find
from sites.kernel.views.verb_views import Crumbs, VerbView
from sites.models import Property
from sites.register.views.photos import (
    PhotoAddMixin,
    PhotoHideMixin,
    PhotoShowMixin,
    PhotoView,
    picture_page,
)

Row = TypeVar("Row")

fault_photo = picture_page(fault_photos_for)
fault_photo_small = picture_page(fault_photos_for, is_small=True)


class _OfFault(VerbView[Row]):
    @property
    def fault(self) -> Fault:
        fault = getattr(self.row, "fault", self.row)
        assert isinstance(fault, Fault)
        return fault

    def get_place(self) -> Property:
        return self.fault.property

    def get_back(self) -> str:
        return fault_url(self.fault)

    def get_crumbs(self) -> Crumbs:
        return crumbs_of(self.fault)


class FaultPhotoAdd(_OfFault[Fault], PhotoAddMixin[Fault]):
    """Add a photo to a fault, or to one of its breaks."""

    verb = add_fault_photo
    takes = "fault"
    form_class = FaultPhotoForm

    def find(self) -> Fault:
        rows = faults_for(self.user, self.may_do).select_related("property")
        return find(rows, ref=self.kwargs["ref"])

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), "of_break": self.request.GET.get("break", "")}


class _OfPhoto(_OfFault[FaultPhoto], PhotoView[FaultPhoto]):
    photos = fault_photos_for
    with_place = ("fault__property",)
    figure = "faults/verbs/_photo.html"


class FaultPhotoHide(PhotoHideMixin[FaultPhoto], _OfPhoto):
    """Take a photo from the fault's page and from the evidence."""

    verb = hide_fault_photo


class FaultPhotoShow(PhotoShowMixin[FaultPhoto], _OfPhoto):
    """Put a hidden photo back."""

    verb = show_fault_photo
