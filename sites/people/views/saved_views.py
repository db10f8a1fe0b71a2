"""Keep a list under a name, and forget it."""

from django.contrib import messages
from django.core.exceptions import BadRequest
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.links import is_ours
from sites.kernel.services.verbs import UnableToAct
from sites.people.services.saved_views import forget_view, keep_view


@page_for(Action.SEE_REGISTER)
@require_POST
def view_keep(request: SignedInRequest) -> HttpResponse:
    """Keep the list from which the form was sent."""
    given = {name: request.POST.get(name, "")[:2000] for name in ("name", "path", "query")}
    try:
        view = keep_view(user=request.user, **given | {"name": given["name"][:60]})
    except UnableToAct as refusal:
        messages.error(request, str(refusal))
        return redirect(_back(request, given["path"], given["query"]))
    messages.success(request, _("Kept as “%s”.") % view.name)
    return redirect(_back(request, view.path, view.query))


@page_for(Action.SEE_REGISTER)
@require_POST
def view_forget(request: SignedInRequest) -> HttpResponse:
    """Forget one of one's own views."""
    number = request.POST.get("view", "")
    if not number.isdecimal():
        raise BadRequest
    view = find(request.user.saved_views.all(), pk=number)
    path, name = view.path, view.name
    forget_view(view=view)
    messages.success(request, _("“%s” is forgotten.") % name)
    return redirect(_back(request, path, ""))


def _back(request: SignedInRequest, path: str, query: str) -> str:
    if not path.startswith("/") or not is_ours(request, path):
        return "/"
    return f"{path}?{query}" if query else path
