"""What to do next after a first load: a panel on the first pages, and a page of its own."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from reports.off_central.services.first_steps import first_steps
from reports.off_central.services.putting_away import bring_step_back, put_step_away
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.links import is_ours
from sites.kernel.services.verbs import UnableToAct
from sites.register.views.lists import wants_fragment


@page_for(Action.EDIT_REGISTER)
def first_hour(request: SignedInRequest) -> HttpResponse:
    """All steps; or, for htmx, the panel of those that are open: 204 where none is.

    On 204 the page leaves the empty line that it kept free, so that nothing moves.
    """
    steps = first_steps(request.user)
    is_fragment = wants_fragment(request)
    open_steps = [step for step in steps if step.is_open]
    context = {
        "open_steps": open_steps,
        "done": [step for step in steps if step.is_done],
        "away": [step for step in steps if step.is_put_away and not step.is_done],
        "total": len(steps),
        # Beside a register that is mostly entered it takes one line, not the first screen.
        "is_brief": 2 * len(open_steps) < len(steps),
        "back": request.headers.get("HX-Current-URL", "") if is_fragment else request.path,
    }
    template = "reports/_first_steps.html" if is_fragment else "reports/first_hour.html"
    is_nothing = is_fragment and not open_steps
    response = HttpResponse(status=204) if is_nothing else render(request, template, context)
    patch_vary_headers(response, ["HX-Request", "HX-History-Restore-Request"])
    return response


@page_for(Action.EDIT_REGISTER)
@require_POST
def step_put_away(request: SignedInRequest) -> HttpResponse:
    """Put one step away, for oneself."""
    try:
        put_step_away(user=request.user, step=request.POST.get("step", "")[:40])
    except UnableToAct as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, _("Put away. It stands under “What to do next”."))
    return redirect(_back(request))


@page_for(Action.EDIT_REGISTER)
@require_POST
def step_bring_back(request: SignedInRequest) -> HttpResponse:
    """Bring one back."""
    bring_step_back(user=request.user, step=request.POST.get("step", "")[:40])
    return redirect("reports:first_hour")


def _back(request: SignedInRequest) -> str:
    back = request.POST.get("back", "")
    return back if is_ours(request, back) else "reports:first_hour"
