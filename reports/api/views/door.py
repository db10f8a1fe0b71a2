"""What all operations share: who asks, how often, how it is refused, and what came back before."""

import hashlib
import logging
from collections.abc import Callable
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotModified
from django.utils.translation import gettext as _
from ninja import NinjaAPI, Router
from ninja.errors import AuthenticationError, HttpError, ValidationError
from ninja.security import HttpBearer

from reports.api.views.refusals import PROBLEM, with_refusals
from reports.summaries.services.summaries import NotMadeYet
from sites.kernel.access import SignedInRequest, actions_anywhere
from sites.kernel.engines.roles import Action
from sites.kernel.services.faults_outside import lost_the_database
from sites.kernel.services.verbs import UnableToAct
from sites.kernel.views.errors import TRY_AGAIN_S
from sites.kernel.views.limits import wait_for
from sites.models import ApiToken, Scope

RATE = "600/minute"
log = logging.getLogger("rejoin.api")


class TooMany(Exception):
    """More requests than a token may send; `wait_s` is when to come again."""

    def __init__(self, wait_s: int) -> None:
        super().__init__(wait_s)
        self.wait_s = wait_s


class Bearer(HttpBearer):
    """Opens an operation to a token that has the scope, and whose user has the action somewhere.

    `TokenMiddleware` has read the token and narrowed its user before.
    """

    openapi_description = "The secret of a token. Make one under *Your settings*."

    def __init__(self, scope: Scope, action: Action) -> None:
        super().__init__()
        self.scope, self.action = scope, action

    def authenticate(self, request: HttpRequest, token: str) -> ApiToken | None:
        """Return the token that holds.

        Raises:
            TooMany: it asks too often.
            PermissionDenied: it is not for this, or its user may not.
        """
        held: ApiToken | None = getattr(request, "token", None)
        if held is None:
            return None
        if wait_s := wait_for(RATE, "api", f"token-{held.pk}"):
            raise TooMany(wait_s)
        if self.scope.value not in held.scope_set():
            raise PermissionDenied(
                _("This token may not do that. It is for: %s.") % ", ".join(held.scope_labels())
            )
        if self.action not in actions_anywhere(held.user):
            raise PermissionDenied(_("Your role does not allow this."))
        return held


class Door(NinjaAPI):
    """The API: each answer to a GET carries an ETag, and is not sent again to who has it."""

    def create_response(
        self,
        request: HttpRequest,
        data: Any,
        *,
        status: int | None = None,
        temporal_response: HttpResponse | None = None,
    ) -> HttpResponse:
        """Return the answer, or 304 where its content is the one that the program names."""
        response = super().create_response(
            request, data, status=status, temporal_response=temporal_response
        )
        if request.method != "GET" or response.status_code != 200:
            return response
        tag = f'"{hashlib.sha256(response.content).hexdigest()[:32]}"'
        if tag in _named(request.headers.get("If-None-Match", "")):
            response = HttpResponseNotModified()
        response.headers["ETag"] = tag
        return response

    def get_openapi_schema(self, *args: Any, **named: Any) -> Any:
        """Return the OpenAPI document, with how each operation may be refused."""
        return with_refusals(super().get_openapi_schema(*args, **named))


def _named(header: str) -> set[str]:
    """The tags of a header; a proxy that compressed the answer marks its tag as weak."""
    return {each.strip().removeprefix("W/") for each in header.split(",")}


api = Door(
    title="Rejoin",
    version="1",
    description=(
        "Stations off central control, the register, faults and work, for other programs. "
        "Lengths in feet, depths in inches, areas in square feet, water in US gallons, flows in "
        "gallons a minute. null is what nobody entered, never 0. A sum with `is_least` may be "
        "more. Days are days of the property's own time zone."
    ),
    urls_namespace="api-v1",
    docs_url=None,
    openapi_url="/openapi.json",
)


# One for all: an address that is both read and sent to has one line among the addresses.
router = Router()


def signed_in(request: HttpRequest) -> SignedInRequest:
    """Return the request as that of its token's user; operations are opened by `Bearer` alone."""
    request.user = request.token.user  # type: ignore[attr-defined]
    return request  # type: ignore[return-value]


def problem(
    request: HttpRequest, status: int, title: str, detail: str = "", **more: object
) -> HttpResponse:
    """Return an error as RFC 9457 has it; `errors` names the fields at fault, where any is."""
    said: dict[str, object] = {"type": "about:blank", "title": title, "status": status}
    if detail:
        said["detail"] = detail
    response = api.create_response(request, {**said, **more}, status=status)
    response.headers["Content-Type"] = PROBLEM
    return response


Handler = Callable[[HttpRequest, Any], HttpResponse]


def _handles(kind: type[Exception]) -> Callable[[Handler], Handler]:
    def decorate(handler: Handler) -> Handler:
        api.add_exception_handler(kind, handler)
        return handler

    return decorate


@_handles(AuthenticationError)
def _no_token(request: HttpRequest, why: AuthenticationError) -> HttpResponse:
    response = problem(
        request, 401, _("No token that holds"), _("Send “Authorization: Bearer” and the secret.")
    )
    response.headers["WWW-Authenticate"] = "Bearer"
    return response


@_handles(PermissionDenied)
def _refused(request: HttpRequest, why: PermissionDenied) -> HttpResponse:
    return problem(request, 403, _("Not allowed"), str(why))


@_handles(Http404)
def _not_there(request: HttpRequest, why: Http404) -> HttpResponse:
    return problem(request, 404, _("There is nothing here"), _("Or you may not see it."))


@_handles(TooMany)
def _too_many(request: HttpRequest, why: TooMany) -> HttpResponse:
    response = problem(request, 429, _("Too many requests"), _("Wait, then go on."))
    response.headers["Retry-After"] = str(why.wait_s)
    return response


@_handles(ValidationError)
def _unreadable(request: HttpRequest, why: ValidationError) -> HttpResponse:
    errors = [
        {"field": ".".join(str(part) for part in each["loc"]), "detail": str(each["msg"])}
        for each in why.errors
    ]
    return problem(request, 422, _("This cannot be read"), errors=errors)


@_handles(UnableToAct)
def _unable(request: HttpRequest, why: UnableToAct) -> HttpResponse:
    errors = [{"field": why.field or "", "detail": str(why)}]
    return problem(request, 422, _("Nothing was changed"), str(why), errors=errors)


@_handles(NotMadeYet)
def _not_made(request: HttpRequest, why: NotMadeYet) -> HttpResponse:
    response = problem(request, 503, _("This is still being computed"), str(why))
    response.headers["Retry-After"] = "5"
    return response


@_handles(HttpError)
def _http_error(request: HttpRequest, why: HttpError) -> HttpResponse:
    return problem(request, why.status_code, _("This cannot be read"), str(why))


@_handles(Exception)
def _broken(request: HttpRequest, why: Exception) -> HttpResponse:
    if lost_the_database(why):
        log.error("%s %s: %s", request.method, request.path, why)
        response = problem(
            request, 503, _("The database does not answer."), _("Send the same again later.")
        )
        response.headers["Retry-After"] = str(TRY_AGAIN_S)
        return response
    log.error("%s %s", request.method, request.path, exc_info=why)
    return problem(request, 500, _("Something broke here"), _("It was logged. Try again later."))
