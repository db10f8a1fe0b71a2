"""A property's own plan picture: put one up, give it its scale, put points on it."""

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

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
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import PlanPicture, Point, Property
from sites.register.forms.photos import AskForm

MOST_POINTS = 3000


@page_for(Action.SEE_REGISTER)
def plan_picture_file(request: SignedInRequest, ref: str) -> HttpResponse:
    """The picture itself."""
    place = find(properties_for(request.user), ref=ref)
    return picture_response(_picture(place).file)


@page_for(Action.CHANGE_GROUND)
def plan_picture(request: SignedInRequest, ref: str) -> HttpResponse:
    """Put a plan picture up, or replace the one that is there."""
    place = _place(request, ref)
    shown = getattr(place, "plan_picture", None)

    def act(data: dict[str, Any]) -> str:
        put_up_plan_picture(place=place, photo=prepare_plan(data["photo"]))
        return _("The plan picture is up. Give it its scale next.")

    lead = _("The picture that it replaces takes its scale and its points with it.")
    page = _page(
        place,
        heading=_("Replace the plan picture") if shown else _("Put up a plan picture"),
        button=_("Put it up"),
        watched=[shown] if shown else [],
        act=act,
        lead=lead if shown else "",
        after=lambda: reverse("sites:plan_scale", args=[place.ref]),
    )
    return verb_page(request, PlanPictureForm(*_sent(request)), page)


@page_for(Action.CHANGE_GROUND)
def plan_scale(request: SignedInRequest, ref: str) -> HttpResponse:
    """Say how far apart two places on the picture are."""
    place = _place(request, ref)
    picture = _picture(place)

    def act(data: dict[str, Any]) -> str:
        scale_plan_picture(
            picture=picture,
            first=(data["first_x"], data["first_y"]),
            second=(data["second_x"], data["second_y"]),
            distance_ft=data["distance"],
        )
        return _("The plan picture has its scale. Put the points on it next.")

    markers = [
        ("id_first_x", "id_first_y", _("first")),
        ("id_second_x", "id_second_y", _("second")),
    ]
    form = ScaleForm(*_sent(request), place=place, initial=ScaleForm.known(picture, place))
    page = _page(
        place,
        heading=_("Give the plan picture its scale"),
        button=_("Keep this scale"),
        watched=[picture],
        act=act,
        lead=_("Choose two places far apart whose distance you know, such as both ends of a wall."),
        after=lambda: reverse("sites:plan_points", args=[place.ref]),
        template="sites/plan/scale.html",
        extra={"picture": picture, "place": place, "markers": markers},
    )
    return verb_page(request, form, page)


@page_for(Action.CHANGE_GROUND)
def plan_points(request: SignedInRequest, ref: str) -> HttpResponse:
    """Put the property's points on the picture, one after the other."""
    place = _place(request, ref)
    picture = _picture(place)
    points = list(
        place.points.filter(retired_on__isnull=True).order_by("kind", "name", "pk")[:MOST_POINTS]
    )
    chosen = _chosen(points, request.GET.get("point", ""))

    def act(data: dict[str, Any]) -> str:
        place_point(point=data["point"], x_px=data["x"], y_px=data["y"])
        return _("%s stands on the plan picture.") % str(data["point"])

    page = _page(
        place,
        heading=_("Put points on the plan picture"),
        button=_("Keep this place"),
        watched=[picture],
        act=act,
        lead=_("Choose where %s is.") % chosen if chosen else _("Every point has its place."),
        after=lambda: reverse("sites:plan_points", args=[place.ref]),
        template="sites/plan/points.html",
        extra={"picture": picture, "place": place, **_lists(points, chosen)},
    )
    form = PlacePointForm(*_sent(request), points=points, initial=_known(chosen))
    return verb_page(request, form, page)


def _lists(points: list[Point], chosen: Point | None) -> dict[str, Any]:
    return {
        "waiting": [point for point in points if point.plan_x_px is None],
        "placed": [point for point in points if point.plan_x_px is not None],
        "chosen": chosen,
        "markers": [("id_x", "id_y", str(chosen or ""))],
    }


@page_for(Action.CHANGE_GROUND)
def plan_point_off(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take one point off the picture."""
    points = points_for(request.user, Action.CHANGE_GROUND).select_related("property")
    point = find(points, ref=ref)

    def act(_data: dict[str, Any]) -> str:
        take_point_off(point=point)
        return _("%s is off the plan picture.") % point

    page = _page(
        point.property,
        heading=_("Take %s off the plan picture?") % point,
        button=_("Take it off"),
        watched=[point],
        act=act,
    )
    return verb_page(request, _ask(request), page)


@page_for(Action.CHANGE_GROUND)
def plan_picture_remove(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take the picture off; it can be brought back."""
    place = _place(request, ref)
    picture = _picture(place)

    def act(_data: dict[str, Any]) -> str:
        remove_plan_picture(picture=picture)
        return _("The plan picture is removed. It can be brought back with all its points.")

    page = _page(
        place,
        heading=_("Remove the plan picture?"),
        button=_("Remove it"),
        watched=[picture],
        act=act,
    )
    return verb_page(request, _ask(request), page)


@page_for(Action.CHANGE_GROUND)
def plan_picture_bring_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Put the earlier picture back, with its scale and its points."""
    place = _place(request, ref)
    shown = getattr(place, "plan_picture", None)

    def act(_data: dict[str, Any]) -> str:
        bring_back_plan_picture(place=place)
        return _("The earlier plan picture is back, with its scale and its points.")

    page = _page(
        place,
        heading=_("Bring the earlier plan picture back?"),
        button=_("Bring it back"),
        watched=[shown] if shown else [],
        act=act,
    )
    return verb_page(request, _ask(request), page)


def _place(request: SignedInRequest, ref: str) -> Property:
    return find(properties_for(request.user, Action.CHANGE_GROUND), ref=ref)


def _picture(place: Property) -> PlanPicture:
    picture: PlanPicture | None = getattr(place, "plan_picture", None)
    if picture is None:
        raise Http404
    return picture


def _sent(request: SignedInRequest) -> tuple[Any, Any]:
    return (request.POST, request.FILES) if request.method == "POST" else (None, None)


def _ask(request: SignedInRequest) -> AskForm:
    return AskForm(_sent(request)[0])


def _chosen(points: list[Point], ref: str) -> Point | None:
    """Return the requested point, else the next one without a place."""
    by_ref = {point.ref: point for point in points}
    waiting = (point for point in points if point.plan_x_px is None)
    return by_ref.get(ref) or next(waiting, None)


def _known(chosen: Point | None) -> dict[str, Any]:
    if chosen is None:
        return {}
    return {"point": chosen.ref, "x": chosen.plan_x_px, "y": chosen.plan_y_px}


def _page(
    place: Property, *, watched: list[Any], act: Callable[[dict[str, Any]], str], **rest: Any
) -> VerbPage:
    plan = reverse("reports:property_plan", args=[place.ref])
    return VerbPage(
        back=plan,
        watched=watched,
        act=act,
        crumbs=[
            (reverse("sites:properties"), _("Properties")),
            (reverse("reports:property", args=[place.ref]), place.code),
            (plan, _("Site plan")),
        ],
        **rest,
    )
