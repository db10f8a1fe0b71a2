"""What the pages of points, legs and wires share: what they are about, and retiring."""

from typing import ClassVar, TypeVar

from django.db.models import Model, QuerySet
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from sites.ground.forms.points_and_legs import DayAndWhyForm, MayWhyForm
from sites.kernel.access import find, legs_for, points_for, wires_for
from sites.kernel.views.verb_help import Crumbs, PropertyView, property_crumbs
from sites.kernel.views.verb_views import Text, VerbView
from sites.models import Leg, Point, Property, Wire

Row = TypeVar("Row", Point, Leg, Wire)


def address_of(row: Point | Leg | Wire) -> str:
    """Return the address of a point's, leg's or wire's page."""
    names = {Point: "sites:point", Leg: "faults:leg", Wire: "sites:wire"}
    return reverse(names[type(row)], args=[row.ref])


def ground_crumbs(row: Point | Leg | Wire) -> Crumbs:
    """Return the way to a point, leg or wire."""
    lists = {
        Point: ("sites:points", _("Points")),
        Leg: ("sites:legs", _("Legs")),
        Wire: ("sites:wires", _("Wires")),
    }
    name, word = lists[type(row)]
    return [*list_crumbs(row.property, name, word), (address_of(row), str(row))]


def list_crumbs(place: Property, name: str, word: Text) -> Crumbs:
    """Return the way to one of a property's lists."""
    return [*property_crumbs(place), (reverse(name, args=[place.ref]), word)]


class GroundView(VerbView[Row]):
    """A verb on a point, leg or wire; the page leads back to its page."""

    def get_rows(self) -> QuerySet[Row]:
        """Return the rows on which the user has the action."""
        raise NotImplementedError

    def find(self) -> Row:
        return find(self.get_rows(), ref=self.kwargs["ref"])

    def get_place(self) -> Property:
        return self.row.property

    def get_back(self) -> str:
        return address_of(self.row)

    def get_crumbs(self) -> Crumbs:
        return ground_crumbs(self.row)


class PointView(GroundView[Point]):
    """A verb on a point."""

    takes = "point"

    def get_rows(self) -> QuerySet[Point]:
        return points_for(self.user, self.may_do).select_related("property")


class LegView(GroundView[Leg]):
    """A verb on a leg."""

    takes = "leg"

    def get_rows(self) -> QuerySet[Leg]:
        legs = legs_for(self.user, self.may_do)
        return legs.select_related("property", "from_point", "to_point", "split_from")


class WireView(GroundView[Wire]):
    """A verb on a wire."""

    takes = "wire"

    def get_rows(self) -> QuerySet[Wire]:
        return wires_for(self.user, self.may_do).select_related("property")


class RetireMixin(GroundView[Row]):
    """A row is retired from a day on."""

    form_class = DayAndWhyForm
    starts_today = ("on",)
    button = _("Retire it")
    done = _("%s is retired. It can be brought back from this page.")


class BringBackMixin(GroundView[Row]):
    """A retired row comes back."""

    form_class = MayWhyForm
    button = _("Bring it back")
    done = _("%s is back.")


class AddView(PropertyView):
    """A new row on a property; the page leads to it."""

    # The list to go back to, by the name of its address, and its heading.
    list_name: ClassVar[str]
    list_heading: ClassVar[Text]

    def get_watched(self) -> list[Model]:
        return []

    def get_form_kwargs(self) -> dict[str, object]:
        # The property is no row that the form would change.
        kwargs = super().get_form_kwargs()
        return {name: given for name, given in kwargs.items() if name != "row"}

    def get_back(self) -> str:
        return reverse(self.list_name, args=[self.row.ref])

    def get_crumbs(self) -> Crumbs:
        return list_crumbs(self.row, self.list_name, self.list_heading)

    def get_after(self) -> str:
        return address_of(self.result)
