"""Begin a register by hand: add a property, add a controller."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from sites.kernel.access import SignedInRequest, find, may_add_properties, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.register.forms.lists import ControllerForm, PropertyForm
from sites.register.services.register import add_controller, add_property


@page_for(Action.EDIT_REGISTER)
def property_add(request: SignedInRequest) -> HttpResponse:
    """Add a property. Only those whose grant covers every property may."""
    if not may_add_properties(request.user):
        raise PermissionDenied
    form = PropertyForm(request.POST or None, initial={"time_zone": request.user.time_zone})
    if request.method == "POST" and form.is_valid():
        place = add_property(
            place=form.save(commit=False),
            client_name=form.cleaned_data["client_name"],
            known_client=form.known_client(),
        )
        messages.success(request, _("%s is registered. Add its controllers next.") % place)
        return redirect("sites:controller_add", ref=place.ref)
    context = {"form": form, "heading": _("Add a property"), "verb": _("Add this property")}
    return render(request, "sites/form.html", context, status=422 if form.errors else 200)


@page_for(Action.EDIT_REGISTER)
def controller_add(request: SignedInRequest, ref: str) -> HttpResponse:
    """Add a controller, and its stations, to a property."""
    place = find(properties_for(request.user, Action.EDIT_REGISTER), ref=ref)
    form = ControllerForm(request.POST or None, place=place)
    if request.method == "POST" and form.is_valid():
        controller = add_controller(
            controller=form.save(commit=False),
            stations=form.cleaned_data["stations"],
            since=form.cleaned_data["since"],
        )
        messages.success(request, _("Controller %s is registered.") % controller)
        return redirect("reports:property", ref=place.ref)
    context = {
        "form": form,
        "place": place,
        "heading": _("Add a controller to %s") % place,
        "verb": _("Add this controller"),
    }
    return render(request, "sites/form.html", context, status=422 if form.errors else 200)
