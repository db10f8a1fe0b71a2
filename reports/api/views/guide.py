"""The page that says what programs can ask and send, and the document that they read."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt

from reports.api.views import lists as lists
from reports.api.views import reads as reads
from reports.api.views import writes as writes
from reports.api.views.door import api, problem, router
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action

# Only now: the three modules have added their operations to the one router.
api.add_router("", router)


@dataclass(frozen=True)
class Operation:
    """One line of the page."""

    method: str
    path: str
    summary: str
    description: str
    sends: bool


def operations() -> list[Operation]:
    """Return all operations, as the OpenAPI document has them."""
    document: dict[str, Any] = api.get_openapi_schema()
    return [
        Operation(
            method.upper(),
            path,
            said.get("summary", ""),
            said.get("description", ""),
            "send" in said.get("tags", ()),
        )
        for path, methods in document["paths"].items()
        for method, said in methods.items()
    ]


@csrf_exempt
def nothing_there(request: HttpRequest) -> HttpResponse:
    """Answer a program that asks for another address as it is answered elsewhere."""
    return problem(request, 404, _("There is nothing here"), _("Or you may not see it."))


@page_for(Action.EXPORT)
def programs(request: SignedInRequest) -> HttpResponse:
    """What programs can ask and send."""
    found = operations()
    context = {
        "reads": [each for each in found if not each.sends],
        "sends": [each for each in found if each.sends],
        "base": request.build_absolute_uri("/")[:-1],
    }
    return render(request, "reports/api/programs.html", context)
