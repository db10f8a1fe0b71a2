"""A property's own plan picture: put one up, give it its scale, put points on it."""

from functools import cached_property
from typing import Any, TypeVar

from django.db.models import Model
from django.http import Http404, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from sites.ground.forms.plan import PlacePointForm, PlanPictureForm, ScaleForm
from sites.ground.services.plan_picture import (
    bring_back_plan_picture,
    place_point,
    prepare_plan,
    put_up_plan_picture,
    remove_plan_picture,
    scale_plan_picture,
    take_point_off,
)
from sites.kernel.access import SignedInRequest, find, page_for, points_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.pictures import picture_response
from sites.kernel.views.verb_help import PropertyView, property_crumbs
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import PlanPicture, Point, Property

Row = TypeVar("Row")

MOST_POINTS = 3000


@page_for(Action.SEE_REGISTER)
def plan_picture_file(request: SignedInRequest, ref: str) -> HttpResponse:
    """The picture itself."""
    place = find(properties_for(request.user), ref=ref)
    return picture_response(_picture(place).file)


def _picture(place: Property) -> PlanPicture:
    picture: PlanPicture | None = getattr(place, "plan_picture", None)
    if picture is None:
        raise Http404
    return picture


class _PlanMixin(VerbView[Row]):
    def get_back(self) -> str:
        return reverse("reports:property_plan", args=[self.place.ref])

    def get_crumbs(self) -> Crumbs:
        return [*property_crumbs(self.place), (_PlanMixin.get_back(self), _("Site plan"))]

    @property
    def place(self) -> Property:
        """The property whose plan it is."""
        raise NotImplementedError


class _OfPlan(_PlanMixin[Property], PropertyView):
    """A verb on the plan picture of a property, or on the property where it has none."""

    @property
    def place(self) -> Property:
        """The property itself."""
        return self.row

    @cached_property
    def picture(self) -> PlanPicture | None:
        """The picture that is up."""
        return getattr(self.row, "plan_picture", None)

    def get_watched(self) -> list[Model]:
        return [self.picture] if self.picture else []


class _OfPicture(_OfPlan):
    """A verb on the plan picture that is up."""

    takes = "place"

    @cached_property
    def picture(self) -> PlanPicture:
        """The picture that is up."""
        return _picture(self.row)

    def named(self, verb: Any, data: dict[str, Any]) -> dict[str, Any]:
        return super().named(verb, {**data, "picture": self.picture})

    def find(self) -> Property:
        place = super().find()
        _picture(place)
        return place


class PlanPictureChange(_OfPlan):
    """Put a plan picture up, or replace the one that is there."""

    verb = put_up_plan_picture
    button = _("Put it up")
    done = _("The plan picture is up. Give it its scale next.")

    def get_form(self) -> PlanPictureForm:
        return PlanPictureForm(self.posted, self.request.FILES or None)

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        return {"place": self.row, "photo": prepare_plan(data["photo"])}

    def get_heading(self) -> Text:
        return _("Replace the plan picture") if self.picture else _("Put up a plan picture")

    def get_lead(self) -> Text:
        words = _("The picture that it replaces takes its scale and its points with it.")
        return words if self.picture else ""

    def get_after(self) -> str:
        return reverse("sites:plan_scale", args=[self.row.ref])


class PlanScale(_OfPicture):
    """Say how far apart two places on the picture are."""

    verb = scale_plan_picture
    heading, button = _("Give the plan picture its scale"), _("Keep this scale")
    lead = _("Choose two places far apart whose distance you know, such as both ends of a wall.")
    done = _("The plan picture has its scale. Put the points on it next.")
    template_name = "sites/plan/scale.html"

    def get_form(self) -> ScaleForm:
        known = ScaleForm.known(self.picture, self.row)
        return ScaleForm(self.posted, place=self.row, initial=known)

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        first = (data["first_x"], data["first_y"])
        second = (data["second_x"], data["second_y"])
        given = {"first": first, "second": second, "distance_ft": data["distance"]}
        return super().arguments({**data, **given})

    def get_after(self) -> str:
        return reverse("sites:plan_points", args=[self.row.ref])

    def get_extra(self) -> dict[str, object]:
        markers = [
            ("id_first_x", "id_first_y", _("first")),
            ("id_second_x", "id_second_y", _("second")),
        ]
        return {"picture": self.picture, "place": self.row, "markers": markers}


class PlanPoints(_OfPicture):
    """Put the property's points on the picture, one after the other."""

    verb = place_point
    heading, button = _("Put points on the plan picture"), _("Keep this place")
    template_name = "sites/plan/points.html"

    @cached_property
    def points(self) -> list[Point]:
        """The points that can stand on it."""
        points = self.row.points.filter(retired_on__isnull=True)
        return list(points.order_by("kind", "name", "pk")[:MOST_POINTS])

    @cached_property
    def chosen(self) -> Point | None:
        """The requested point, else the next one without a place."""
        named = self.request.GET.get("point", "")
        waiting = (point for point in self.points if point.plan_x_px is None)
        return {point.ref: point for point in self.points}.get(named) or next(waiting, None)

    def get_initial(self) -> dict[str, object]:
        point = self.chosen
        return {"point": point.ref, "x": point.plan_x_px, "y": point.plan_y_px} if point else {}

    def get_form(self) -> PlacePointForm:
        return PlacePointForm(self.posted, points=self.points, initial=self.get_initial())

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        return {"point": data["point"], "x_px": data["x"], "y_px": data["y"]}

    def get_lead(self) -> Text:
        if self.chosen is None:
            return _("Every point has its place.")
        return _("Choose where %s is.") % self.chosen

    def get_done(self) -> Text:
        return _("%s stands on the plan picture.") % str(self.form.cleaned_data["point"])

    def get_after(self) -> str:
        return reverse("sites:plan_points", args=[self.row.ref])

    def get_extra(self) -> dict[str, object]:
        return {
            "picture": self.picture,
            "place": self.row,
            "waiting": [point for point in self.points if point.plan_x_px is None],
            "placed": [point for point in self.points if point.plan_x_px is not None],
            "chosen": self.chosen,
            "markers": [("id_x", "id_y", str(self.chosen or ""))],
        }


class PlanPointOff(_PlanMixin[Point]):
    """Take one point off the picture."""

    verb = take_point_off
    takes = "point"
    heading, button = _("Take %s off the plan picture?"), _("Take it off")
    done = _("%s is off the plan picture.")

    @property
    def place(self) -> Property:
        """The property of the point."""
        return self.row.property

    def find(self) -> Point:
        points = points_for(self.user, self.may_do).select_related("property")
        return find(points, ref=self.kwargs["ref"])


class PlanPictureRemove(_OfPicture):
    """Take the picture off; it can be brought back."""

    verb = remove_plan_picture
    heading, button = _("Remove the plan picture?"), _("Remove it")
    done = _("The plan picture is removed. It can be brought back with all its points.")


class PlanPictureBringBack(_OfPlan):
    """Put the earlier picture back, with its scale and its points."""

    verb = bring_back_plan_picture
    heading, button = _("Bring the earlier plan picture back?"), _("Bring it back")
    done = _("The earlier plan picture is back, with its scale and its points.")
