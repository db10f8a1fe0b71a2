"""What the pages of the register's verbs share: what they are about, and dated rows."""

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import Any, ClassVar, TypeVar

from django.db.models import Model
from django.http import Http404
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from sites.kernel.access import (
    SignedInRequest,
    controllers_for,
    find,
    properties_for,
    stations_for,
)
from sites.kernel.forms.fields import CHANGED, ENDED
from sites.kernel.views.verb_views import Crumbs as Crumbs
from sites.kernel.views.verb_views import Text, VerbView, made_with
from sites.models import Controller, Property, Station
from sites.models import today_at as today_at

Row = TypeVar("Row")


def property_crumbs(place: Property) -> Crumbs:
    """Return the way to a property."""
    return [
        (reverse("sites:properties"), _("Properties")),
        (reverse("reports:property", args=[place.ref]), place.code),
    ]


def controller_crumbs(controller: Controller) -> Crumbs:
    """Return the way to a controller."""
    return [
        *property_crumbs(controller.property),
        (
            reverse("sites:controller", args=[controller.ref]),
            _("Controller %s") % controller.name,
        ),
    ]


def station_crumbs(station: Station) -> Crumbs:
    """Return the way to a station."""
    return [
        *controller_crumbs(station.controller),
        (reverse("reports:station", args=[station.ref]), str(station)),
    ]


def chosen_row(request: SignedInRequest, rows: Sequence[Any], current: Any) -> Any:
    """Return the dated row that the address names by `?row=`, or the current one."""
    wanted = request.GET.get("row", "")
    if not wanted:
        return current
    found = next((row for row in rows if str(row.pk) == wanted), None)
    if found is None:
        raise Http404
    return found


class PropertyView(VerbView[Property]):
    """A verb on a property; the page leads back to the property."""

    takes = "place"

    def find(self) -> Property:
        rows = properties_for(self.user, self.may_do).select_related("client")
        return find(rows, ref=self.kwargs["ref"])

    def get_place(self) -> Property:
        return self.row

    def get_back(self) -> str:
        return reverse("reports:property", args=[self.row.ref])

    def get_crumbs(self) -> Crumbs:
        return property_crumbs(self.row)


class ControllerView(VerbView[Controller]):
    """A verb on a controller; the page leads back to the controller."""

    takes = "controller"

    def find(self) -> Controller:
        rows = controllers_for(self.user, self.may_do).select_related("property")
        return find(rows, ref=self.kwargs["ref"])

    def get_place(self) -> Property:
        return self.row.property

    def get_back(self) -> str:
        return reverse("sites:controller", args=[self.row.ref])

    def get_crumbs(self) -> Crumbs:
        return controller_crumbs(self.row)


class StationView(VerbView[Station]):
    """A verb on a station; the page leads back to the station."""

    takes = "station"

    def find(self) -> Station:
        rows = stations_for(self.user, self.may_do).select_related("controller__property")
        return find(rows, ref=self.kwargs["ref"])

    def get_place(self) -> Property:
        return self.row.controller.property

    def get_back(self) -> str:
        return reverse("reports:station", args=[self.row.ref])

    def get_crumbs(self) -> Crumbs:
        return station_crumbs(self.row)


class ChosenMixin(VerbView[Row]):
    """A page about one of several rows: the one that `?row=` names, or the usual one."""

    # As what a verb takes the chosen row.
    takes_chosen: ClassVar[str] = ""
    # The verb where a row is chosen; `verb` adds one.
    change: ClassVar[Callable[..., Any] | None] = None

    def get_rows(self) -> Sequence[Any]:
        """Return what can be named."""
        raise NotImplementedError

    def get_usual(self) -> Any:
        """Return the row where the address names none."""
        return None

    @cached_property
    def rows(self) -> Sequence[Any]:
        """What can be named."""
        return self.get_rows()

    @cached_property
    def usual(self) -> Any:
        """The row where the address names none."""
        return self.get_usual()

    @cached_property
    def chosen(self) -> Any:
        """The named row, or the usual one."""
        return chosen_row(self.request, self.rows, self.usual)

    def get_form_kwargs(self) -> dict[str, Any]:
        is_asked = self.takes_chosen in made_with(self.form_class)
        own = {self.takes_chosen: self.chosen} if is_asked else {}
        return {**super().get_form_kwargs(), **own}

    def get_watched(self) -> list[Model]:
        return [each for each in (self.row, self.chosen) if isinstance(each, Model)]

    def get_undo(self) -> str:
        # The address alone does not say which of the rows was meant.
        return ""

    def get_verb(self) -> Callable[..., Any]:
        change = type(self).change
        return super().get_verb() if self.chosen is None or change is None else change

    def named(self, verb: Callable[..., Any], data: dict[str, Any]) -> dict[str, Any]:
        return super().named(verb, {self.takes_chosen: self.chosen, **data})


class DatedMixin(ChosenMixin[Row]):
    """What holds over days: it changed from a day on (`verb`), was wrong (`correct`), or ended."""

    correct: ClassVar[Callable[..., Any]]
    end: ClassVar[Callable[..., Any] | None] = None
    template_name = "sites/dated.html"

    def get_first(self) -> Model:
        """Return the row that `correct` gets where nothing is recorded yet."""
        raise NotImplementedError

    def get_words(self, row: Any) -> str:
        """Say in one line what a row holds."""
        raise NotImplementedError

    def get_take_back(self) -> str:
        """Return the address that takes the latest change back, or an empty one."""
        raise NotImplementedError

    def get_form_kwargs(self) -> dict[str, Any]:
        is_current = self.chosen == self.usual
        return {**super().get_form_kwargs(), "row": self.chosen, "is_current": is_current}

    def get_extra(self) -> dict[str, Any]:
        rows = [
            {
                "row": row,
                "words": self.get_words(row),
                "is_chosen": self.chosen is not None and row == self.chosen,
            }
            for row in self.rows
        ]
        return {"rows": rows, "take_back": self.get_take_back()}

    def act(self, data: dict[str, Any]) -> Text:
        view, what = type(self), data["what"]
        if what == CHANGED:
            view.verb(**self.named(view.verb, data))
            return str(_("Changed from %s on.") % data["on"].isoformat())
        if what == ENDED and view.end is not None:
            view.end(**self.named(view.end, data))
            return str(_("It ends on %s.") % data["on"].isoformat())
        first = {} if self.chosen else {self.takes_chosen: self.get_first()}
        view.correct(**self.named(view.correct, {**data, **first}))
        return _("Put right. The old values stay in the history.")
