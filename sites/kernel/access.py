"""Who sees what: the loader of an object is the access check.

A grant gives a role on everything, on one client or on one property. `page_for(action)` opens a
view; the view loads its object through `properties_for(user)` or a sibling of it. A stranger gets
404, so that nobody learns what exists; a wrong role gets 403. `tests/web/test_every_address.py`
requests every address with every role.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar, cast
from urllib.parse import urlsplit, urlunsplit

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.db.models import Model, Q, QuerySet
from django.http import Http404, HttpRequest, HttpResponse

from sites.kernel.engines.roles import Action, Role, allows
from sites.models import (
    Controller,
    Device,
    Grant,
    Leg,
    Photo,
    Point,
    Property,
    Station,
    Stopgap,
    TickedAct,
    User,
    Wire,
)
from sites.models.controller import ControllerQuerySet
from sites.models.ground import LegQuerySet
from sites.models.property import PropertyQuerySet
from sites.models.station import StationQuerySet
from sites.models.stopgap import StopgapQuerySet

P = ParamSpec("P")
View = TypeVar("View", bound=Callable[..., HttpResponse])
M = TypeVar("M", bound=Model)


class SignedInRequest(HttpRequest):
    """A request whose user has signed in; `page_for` sees to it."""

    user: User


def actions_anywhere(user: User) -> set[Action]:
    """Return the actions that the user has on at least one property."""
    return {action for action in Action if _grants(user, action)}


def actions_on(user: User, place: Property) -> dict[str, bool]:
    """Return the actions that the user has on this property, for templates: `may_here.export`."""
    return {action.name.lower(): True for action in actions_at(user, place)}


def actions_at(user: User, place: Property) -> set[Action]:
    """Return the actions that the user has on this property."""
    return {action for action in Action if may(user, action, place)}


def may(user: User, action: Action, place: Property) -> bool:
    """Return whether the user has the action on this property."""
    return any(_covers(grant, place) for grant in _grants(user, action))


def may_everywhere(user: User, action: Action) -> bool:
    """Return whether the user has the action on all properties, now and later."""
    return any(_is_unlimited(grant) for grant in _grants(user, action))


def may_add_properties(user: User) -> bool:
    """Return whether the user may add a property; a grant for some properties adds none."""
    return may_everywhere(user, Action.EDIT_REGISTER)


def properties_where(
    user: User, action: Action, prefix: str = "", *, roles: frozenset[Role] = frozenset(Role)
) -> Q:
    """Return the condition that keeps rows of properties where the user has the action.

    Args:
        prefix: the lookup from the row to its property, such as "controller__property".
        roles: count only grants of these roles.
    """
    grants = [grant for grant in _grants(user, action) if Role(grant.role) in roles]
    if any(_is_unlimited(grant) for grant in grants):
        return Q()
    step = f"{prefix}__" if prefix else ""
    return Q(**{f"{step}client__in": {g.client_id for g in grants if g.client_id}}) | Q(
        **{f"{step}pk__in": {g.property_id for g in grants if g.property_id}}
    )


def properties_for(user: User, action: Action = Action.SEE_REGISTER) -> PropertyQuerySet:
    """Return the properties on which the user has the action."""
    return Property.objects.filter(properties_where(user, action))


def controllers_for(user: User, action: Action = Action.SEE_REGISTER) -> ControllerQuerySet:
    """Return the controllers on whose property the user has the action."""
    return Controller.objects.filter(properties_where(user, action, "property"))


def stations_for(user: User, action: Action = Action.SEE_REGISTER) -> StationQuerySet:
    """Return the stations on whose property the user has the action."""
    return Station.objects.filter(properties_where(user, action, "controller__property"))


def points_for(user: User, action: Action = Action.SEE_REGISTER) -> QuerySet[Point]:
    """Return the points on whose property the user has the action."""
    return Point.objects.filter(properties_where(user, action, "property"))


def legs_for(user: User, action: Action = Action.SEE_REGISTER) -> LegQuerySet:
    """Return the legs on whose property the user has the action."""
    return Leg.objects.filter(properties_where(user, action, "property"))


def wires_for(user: User, action: Action = Action.SEE_REGISTER) -> QuerySet[Wire]:
    """Return the wires on whose property the user has the action."""
    return Wire.objects.filter(properties_where(user, action, "property"))


def devices_for(user: User, action: Action = Action.SEE_REGISTER) -> QuerySet[Device]:
    """Return the battery timers on whose property the user has the action."""
    return Device.objects.filter(properties_where(user, action, "property"))


def photos_for(user: User, action: Action = Action.SEE_PHOTOS) -> QuerySet[Photo]:
    """Return the photos of points and devices on whose property the user has the action.

    A hidden one is seen only by those who may show it again.
    """
    is_seen = Q(hidden_on__isnull=True) | _photos_where(user, Action.ADD_PHOTOS)
    return Photo.objects.filter(_photos_where(user, action) & is_seen)


def _photos_where(user: User, action: Action) -> Q:
    of_points = Q(point__isnull=False) & properties_where(user, action, "point__property")
    of_devices = Q(device__isnull=False) & properties_where(user, action, "device__property")
    return of_points | of_devices


def stopgaps_for(user: User, action: Action = Action.SEE_OFF_CENTRAL) -> StopgapQuerySet:
    """Return the stopgaps on whose property the user has the action."""
    return Stopgap.objects.filter(properties_where(user, action, "station__controller__property"))


def ticked_acts_for(user: User) -> QuerySet[TickedAct]:
    """Return the user's own acts on ticked rows: nobody else takes them back."""
    return TickedAct.objects.filter(user=user)


def find(rows: QuerySet[M], **lookup: Any) -> M:
    """Return the one row, or raise Http404: the rows are already limited to the user's.

    What cannot be a key, such as a number of thousands of digits, is the key of nothing.
    """
    try:
        row = rows.filter(**lookup).first()
    except ValueError:
        row = None
    if row is None:
        raise Http404
    return row


def page_for(
    action: Action,
) -> Callable[
    [Callable[Concatenate[Any, P], HttpResponse]],
    Callable[Concatenate[HttpRequest, P], HttpResponse],
]:
    """Open a view to signed-in users who have the action on at least one property.

    The view still loads its object through `properties_for` and its like. Tests read the
    action from the view as `view.asks_for`.
    """

    def decorate(
        view: Callable[Concatenate[Any, P], HttpResponse],
    ) -> Callable[Concatenate[HttpRequest, P], HttpResponse]:
        @wraps(view)
        def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
            if not request.user.is_authenticated:
                return _to_sign_in(request)
            if not _grants(request.user, action):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        guarded.asks_for = action  # type: ignore[attr-defined]
        return cast("Callable[Concatenate[HttpRequest, P], HttpResponse]", guarded)

    return decorate


def asks_again(view: View) -> View:
    """Ask for the password or a code before this view, where the last is long ago.

    The middleware of people reads the mark.
    """
    view.asks_again = True  # type: ignore[attr-defined]
    return view


def _to_sign_in(request: HttpRequest) -> HttpResponse:
    """Lead to the sign-in page, and from there back to the page that is open.

    htmx would follow a plain redirect by itself and set the page into a part of the open one.
    """
    if not request.headers.get("HX-Request"):
        return redirect_to_login(request.get_full_path())
    opened = urlsplit(request.headers.get("HX-Current-URL", ""))
    onward = urlunsplit(("", "", opened.path, opened.query, "")) or request.get_full_path()
    return HttpResponse(headers={"HX-Redirect": redirect_to_login(onward).url})


def roles_of(user: User) -> set[Role]:
    """Return the roles that the user has anywhere."""
    return {Role(grant.role) for grant in user.held_grants}


def is_client_only(user: User) -> bool:
    """Return whether the user is a client and nothing else: its pages speak plain words."""
    return roles_of(user) == {Role.CLIENT}


def _grants(user: User, action: Action) -> list[Grant]:
    return [grant for grant in user.held_grants if allows(Role(grant.role), action)]


def _is_unlimited(grant: Grant) -> bool:
    return grant.client_id is None and grant.property_id is None


def _covers(grant: Grant, place: Property) -> bool:
    return _is_unlimited(grant) or _names(grant, place)


def _names(grant: Grant, place: Property) -> bool:
    return place.client_id == grant.client_id or place.pk == grant.property_id
