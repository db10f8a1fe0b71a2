"""Long answers over all properties in view: worked out in the background, kept, done again daily.

An answer belongs to the properties that it was made of. Who sees the very same ones shares it;
a user whose grants change sees it no more.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from hashlib import sha256

from django.db.models import QuerySet
from django.utils.translation import gettext_lazy

from sites.kernel.access import properties_for
from sites.kernel.engines.roles import Action
from sites.models import Run, RunState, User
from sites.runs.services import goes_on, start_run

LASTING, AHEAD = "how long it lasts", "when all are back"
# The services whose answers are kept, by the names under which their runs are stored.
KEPT = {
    LASTING: gettext_lazy("How long stopgaps last"),
    AHEAD: gettext_lazy("When all will be back"),
}
DAILY = timedelta(days=1)
# An answer that nobody asked for in so long is not made again by itself any more.
WANTED_FOR = timedelta(days=30)


def places_of(user: User) -> list[int]:
    """Return the keys of the properties that an answer is made of: those whose costs one sees."""
    seen = properties_for(user, Action.SEE_RATES).order_by("pk")
    return list(seen.values_list("pk", flat=True))


def scope_of(places: list[int]) -> str:
    """Return a short name for a set of properties."""
    return sha256(",".join(map(str, sorted(places))).encode()).hexdigest()[:24]


def newest(user: User, service: str) -> Run | None:
    """Return the newest answer on just the properties that the user sees."""
    return newest_on(places_of(user), service)


def newest_on(places: list[int], service: str) -> Run | None:
    """Return the newest answer on just these properties."""
    done = _of_scope(service, scope_of(places)).filter(state=RunState.DONE)
    return done.order_by("-pk").first()


def under_way(user: User, service: str) -> Run | None:
    """Return the newest run after the last answer: it waits, works, or ended without an answer."""
    last = _of_scope(service, scope_of(places_of(user))).order_by("-pk").first()
    return last if last is not None and last.state != RunState.DONE else None


def _of_scope(service: str, scope: str) -> QuerySet[Run]:
    return Run.objects.filter(service=service, arguments__scope=scope)


def ask_for(service: str, *, by: User, at: datetime, is_changed: bool = False) -> Run:
    """Work it out in the background, unless that is under way; return the run.

    Args:
        is_changed: what it is made of was changed, which a run under way may have missed.
    """
    last = under_way(by, service)
    if last is not None and goes_on(last) and not is_changed:
        return last
    arguments = {"user_id": by.pk, "scope": scope_of(places_of(by)), "wanted_at": at.isoformat()}
    title = str(KEPT[service])
    return start_run(service=service, title=title, by=by, at=at, arguments=arguments)


def make_anew(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Start again what is older than a day and was asked for lately."""
    started = 0
    for service in KEPT:
        lately = Run.objects.filter(service=service, asked_at__gt=at - WANTED_FOR)
        newest_of: dict[str, Run] = {}
        for run in lately.select_related("asked_by").order_by("pk"):
            newest_of[run.arguments.get("scope", "")] = run
        for scope, run in newest_of.items():
            started += _again(run, scope, at)
            go_on()
    return {"started": started}


def _again(run: Run, scope: str, at: datetime) -> int:
    user, wanted = run.asked_by, run.arguments.get("wanted_at")
    is_wanted = wanted is not None and datetime.fromisoformat(wanted) > at - WANTED_FOR
    if not is_wanted or goes_on(run) or run.asked_at > at - DAILY:
        return 0
    if user is None or not user.is_active or scope_of(places_of(user)) != scope:
        return 0
    start_run(service=run.service, title=run.title, by=user, at=at, arguments=run.arguments)
    return 1
