"""Error pages: what happened and what to do next, as a page or inside htmx."""

import logging
import sys

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from sites.kernel.services.faults_outside import has_no_room, lost_the_database
from sites.kernel.services.request_ids import NONE, new_request_id, request_id

logger = logging.getLogger(__name__)

TRY_AGAIN_S = 30
REFERENCE_LENGTH = 8


def _answer(request: HttpRequest, *, status: int, title: str, next_step: str) -> HttpResponse:
    context = {"title": title, "next_step": next_step}
    return render(request, _template(request), context, status=status)


def _template(request: HttpRequest) -> str:
    is_fragment = bool(request.headers.get("HX-Request"))
    return "errors/_fragment.html" if is_fragment else "errors/page.html"


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """400: the address or form could not be understood."""
    if lost_the_database(exception):
        return _unavailable(request)
    return _answer(
        request,
        status=400,
        title=_("This request could not be read."),
        next_step=_("Go back, load the page again and repeat what you did."),
    )


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """403: signed in, but this role may not do it."""
    return _answer(
        request,
        status=403,
        title=_("Your role does not include this."),
        next_step=_("Ask the owner of this installation to widen your role, or to do it for you."),
    )


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403: the form's key is stale, most often after signing in again in another window."""
    return _answer(
        request,
        status=403,
        title=_("This form was open for too long, or in a window that was signed out."),
        next_step=_("Go back, load the page again and send the form once more."),
    )


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """404: no such page, or not one of yours."""
    return _answer(
        request,
        status=404,
        title=_("There is nothing here, or nothing that you may see."),
        next_step=_("Check the address, or start from Off central."),
    )


def too_many(request: HttpRequest, *, wait_s: int) -> HttpResponse:
    """429: rate limited; the page says how long to wait."""
    response = _answer(
        request,
        status=429,
        title=_("That was too often in a short time."),
        next_step=_("Wait %(n)s seconds, then try again. Nothing was lost or changed.")
        % {"n": wait_s},
    )
    response.headers["Retry-After"] = str(wait_s)
    return response


def broken(request: HttpRequest) -> HttpResponse:
    """500: our fault. The reference finds the entry in the log.

    It asks nobody who the user is: the database may be what broke.
    """
    if lost_the_database(sys.exception()):
        return _unavailable(request)
    if has_no_room(sys.exception()):
        return _full(request)
    name = request_id()
    # So much of it is read out on a telephone, and finds it in all logs.
    reference = (new_request_id() if name == NONE else name)[:REFERENCE_LENGTH]
    logger.error("A page failed; reference %s", reference)
    context = {
        "title": _("Something broke on our side. Nothing was half-written."),
        "next_step": _("Try once more. If it happens again, pass on the reference below."),
        "reference": reference,
    }
    return HttpResponse(render_to_string(_template(request), context), status=500)


def _unavailable(request: HttpRequest) -> HttpResponse:
    """503: the database does not answer; nobody has to look the request up."""
    next_step = _("Nothing was half-written. Wait %(n)s seconds, then try again.")
    return _later(request, 503, _("The database does not answer."), next_step % {"n": TRY_AGAIN_S})


def _full(request: HttpRequest) -> HttpResponse:
    """507: a file found no room; the same sent again is taken once there is some."""
    next_step = _("Nothing was half-written. Tell who runs Rejoin, then send it again.")
    return _later(request, 507, _("The disk here is full."), next_step)


def _later(request: HttpRequest, status: int, title: str, next_step: str) -> HttpResponse:
    context = {"title": title, "next_step": next_step}
    response = HttpResponse(render_to_string(_template(request), context), status=status)
    response.headers["Retry-After"] = str(TRY_AGAIN_S)
    return response
