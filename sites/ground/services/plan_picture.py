"""A property's own plan picture: brought, scaled by two places on it, and points put on it.

Pictures are replaced and removed, and the earlier one can be brought back with its scale and its
points: files stay, and what the rows held is in their history.
"""

from math import hypot
from typing import IO, Any

from django.core.files.base import ContentFile
from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import PlanPicture, Point, Property
from sites.register.services.photos import PreparedPhoto, prepare_photo

# Lines of a drawing are thin: they need more pixels than a photo, and less squeezing.
LONGEST_SIDE_PX = 4000
QUALITY = 92
CLOSEST_PX = 10.0
FURTHEST_FT = 50_000.0
SCALE = ("first_x_px", "first_y_px", "second_x_px", "second_y_px", "distance_ft")


class UnableToScalePlan(UnableToAct):
    """The two places, or the distance, give no scale."""


class UnableToPlacePoint(UnableToAct):
    """The point cannot stand there."""


class UnableToBringBackPlanPicture(UnableToAct):
    """There was no earlier picture."""


def prepare_plan(file: IO[bytes]) -> PreparedPhoto:
    """Return a plan re-encoded, as a photo is, but with its thin lines kept."""
    return prepare_photo(
        file, keep_position=False, longest_side_px=LONGEST_SIDE_PX, quality=QUALITY
    )


@verb(
    name="put up a plan picture",
    action=Action.CHANGE_GROUND,
    guard="the file is a picture within limits",
    undo="bring the earlier plan picture back, or remove the plan picture",
)
def put_up_plan_picture(*, place: Property, photo: PreparedPhoto) -> PlanPicture:
    """Keep a property's plan. One that it replaces takes its scale and its points with it."""
    picture = _shown(place) or PlanPicture(property=place)
    picture.width_px, picture.height_px = photo.width_px, photo.height_px
    for field in SCALE:
        setattr(picture, field, None)
    picture.file.save("", ContentFile(photo.content), save=False)
    picture.save()
    _place_points(place, {})
    return picture


@verb(
    name="remove the plan picture",
    action=Action.CHANGE_GROUND,
    guard="there is one",
    undo="bring the earlier plan picture back",
)
def remove_plan_picture(*, picture: PlanPicture) -> None:
    """Take the plan picture off; its file, its scale and the places of points are kept."""
    picture.delete()


@verb(
    name="bring the earlier plan picture back",
    action=Action.CHANGE_GROUND,
    guard="there was one",
    undo="bring the earlier plan picture back, once more",
)
def bring_back_plan_picture(*, place: Property) -> PlanPicture:
    """Put the picture that was there before back, with its scale and its points.

    Raises:
        UnableToBringBackPlanPicture: there was none.
    """
    found = earlier_plan_picture(place)
    if found is None:
        raise UnableToBringBackPlanPicture(
            _("There was no plan picture here before. Put one up instead.")
        )
    earlier, taken_off = found
    places = _places_at(place, taken_off.history_date)
    picture: PlanPicture = _shown(place) or earlier.instance
    for field in ("file", "width_px", "height_px", *SCALE):
        setattr(picture, field, getattr(earlier, field))
    picture.save()
    _place_points(place, places)
    return picture


def earlier_plan_picture(place: Property) -> tuple[Any, Any] | None:
    """Return the last record of the picture that was there before this one, and the record of
    the change that took it off; or None where there was none."""
    now = _shown(place)
    shown = now.file.name if now else None
    history: Any = PlanPicture.history
    taken_off = None
    for record in history.filter(property=place).order_by("-history_id")[:200]:
        is_there = record.history_type != "-"
        if taken_off is not None and is_there and record.file != shown:
            return record, taken_off
        taken_off = record
    return None


def _shown(place: Property) -> PlanPicture | None:
    return PlanPicture.objects.filter(property=place).first()


def _places_at(place: Property, moment: object) -> dict[int, tuple[float, float]]:
    history: Any = Point.history
    return {
        point.pk: (point.plan_x_px, point.plan_y_px)
        for point in history.as_of(moment).filter(property=place)
        if point.plan_x_px is not None
    }


def _place_points(place: Property, places: dict[int, tuple[float, float]]) -> None:
    for point in place.points.order_by("pk"):
        x, y = places.get(point.pk, (None, None))
        if (point.plan_x_px, point.plan_y_px) != (x, y):
            point.plan_x_px, point.plan_y_px = x, y
            point.save()


@verb(
    name="give the plan picture its scale",
    action=Action.CHANGE_GROUND,
    guard="two places on the picture, some way apart, and a distance above 0",
    undo="give the plan picture its scale, with the values that its history shows",
)
def scale_plan_picture(
    *,
    picture: PlanPicture,
    first: tuple[float, float],
    second: tuple[float, float],
    distance_ft: float,
) -> None:
    """Set how far apart two places on the picture are in the ground.

    Raises:
        UnableToScalePlan: a place is off the picture, both are one place, or the distance is
            not above 0.
    """
    for name, (x, y) in (("first_x", first), ("second_x", second)):
        if not _is_on(picture, x, y):
            raise UnableToScalePlan(
                _("This place is off the picture. Choose one on it."), field=name
            )
    if hypot(second[0] - first[0], second[1] - first[1]) < CLOSEST_PX:
        raise UnableToScalePlan(
            _("These two places are one. Choose two that are far apart: the scale gets better."),
            field="second_x",
        )
    if not 0 < distance_ft <= FURTHEST_FT:
        raise UnableToScalePlan(
            _("Enter how far apart the two places are, above 0."), field="distance"
        )
    picture.first_x_px, picture.first_y_px = first
    picture.second_x_px, picture.second_y_px = second
    picture.distance_ft = distance_ft
    picture.save()


@verb(
    name="put a point on the plan picture",
    action=Action.CHANGE_GROUND,
    guard="there is a picture, the place is on it, the point is not retired",
    undo="take the point off the plan picture",
)
def place_point(*, point: Point, x_px: float, y_px: float) -> None:
    """Keep where a point stands on its property's plan picture.

    Raises:
        UnableToPlacePoint: there is no picture, the place is off it, or the point is retired.
    """
    picture = PlanPicture.objects.filter(property=point.property_id).first()
    if picture is None:
        raise UnableToPlacePoint(_("There is no plan picture here. Put one up first."))
    if point.retired_on:
        raise UnableToPlacePoint(_("This point is retired. Choose another."), field="point")
    if not _is_on(picture, x_px, y_px):
        raise UnableToPlacePoint(_("This place is off the picture. Choose one on it."), field="x")
    point.plan_x_px, point.plan_y_px = x_px, y_px
    point.save()


@verb(
    name="take a point off the plan picture",
    action=Action.CHANGE_GROUND,
    guard="it has a place on it",
    undo="put the point on the plan picture",
)
def take_point_off(*, point: Point) -> None:
    """Forget where a point stands on the plan picture.

    Raises:
        UnableToPlacePoint: it has no place there.
    """
    if point.plan_x_px is None:
        raise UnableToPlacePoint(_("This point has no place on the plan picture."))
    point.plan_x_px = point.plan_y_px = None
    point.save()


def _is_on(picture: PlanPicture, x_px: float, y_px: float) -> bool:
    return 0 <= x_px <= picture.width_px and 0 <= y_px <= picture.height_px
