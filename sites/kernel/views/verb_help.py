"""What the views of the register's verbs share: where a page stands, today there, dated rows."""

from collections.abc import Callable, Sequence
from typing import Any

from django.http import Http404, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from sites.kernel.access import SignedInRequest
from sites.kernel.forms.fields import CHANGED, DatedForm
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Controller, Property, Station
from sites.models import today_at as today_at

Crumbs = list[tuple[str, str]]


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


def dated_page(
    request: SignedInRequest,
    form: DatedForm,
    page: VerbPage,
    *,
    rows: Sequence[Any],
    words: Callable[[Any], str],
    take_back: str = "",
) -> HttpResponse:
    """Show what is recorded over days, and the form that changes it or puts it right."""
    shown = [
        {"row": row, "words": words(row), "is_chosen": form.row is not None and row == form.row}
        for row in rows
    ]
    page.extra.update(rows=shown, take_back=take_back)
    return verb_page(request, form, page)


def acting(
    form: DatedForm,
    *,
    change: Callable[[dict[str, Any]], object],
    correct: Callable[[dict[str, Any]], object],
    end: Callable[[dict[str, Any]], object] | None = None,
) -> Callable[[dict[str, Any]], str]:
    """Return what the page does: one call of the verb that the form's choice names."""

    def act(data: dict[str, Any]) -> str:
        if data["what"] == CHANGED:
            change(data)
            return str(_("Changed from %s on.") % data["on"].isoformat())
        if data["what"] == "ended" and end is not None:
            end(data)
            return str(_("It ends on %s.") % data["on"].isoformat())
        correct(data)
        return _("Put right. The old values stay in the history.")

    return act
