"""Sign in to the demo with one click. These addresses exist only while the demo runs."""

from django.contrib.auth import login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import get_script_prefix
from django.views.decorators.http import require_POST

from reports.demo.services.demo import demo_user
from sites.kernel.links import is_ours


@require_POST
def sign_in(request: HttpRequest) -> HttpResponse:
    """Sign in as the demo's person for the chosen role."""
    user = demo_user(request.POST.get("role", ""))
    login(request, user, backend="django.contrib.auth.backends.ModelBackend")
    onward = request.POST.get("next", "")
    # The bare address asks for no page: then the role's work decides.
    is_asked = onward != get_script_prefix()
    if is_asked and is_ours(request, onward):
        return redirect(onward)
    return redirect("sites:start")
