"""Keep a list with its filter and order under a name, for oneself."""

from django.http import QueryDict
from django.urls import Resolver404, resolve
from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import SavedView, User

MOST = 40
# A view is a filter and an order; the page number is no part of it.
LEFT_OUT = ("page", "export")


class UnableToKeepView(UnableToAct):
    """A view that cannot be kept."""


@verb(
    name="keep a view",
    action=Action.SEE_REGISTER,
    guard="a name; a list of this site; at most 40 for one user",
    undo="forget a view",
)
def keep_view(*, user: User, name: str, path: str, query: str) -> SavedView:
    """Keep a view, in place of one of the same name on the same list."""
    name = " ".join(name.split())
    if not name:
        raise UnableToKeepView(_("Give the view a name."), field="name")
    if not _is_page(path):
        raise UnableToKeepView(_("This is no list that can be kept. Open it and try again."))
    kept = SavedView.objects.filter(user=user, path=path, name=name).first()
    if kept is None and user.saved_views.count() >= MOST:
        raise UnableToKeepView(_("You keep %d views already. Forget one first.") % MOST)
    view = kept or SavedView(user=user, path=path, name=name)
    view.query = _bare(query)
    view.save()
    return view


@verb(
    name="forget a view",
    action=Action.SEE_REGISTER,
    guard="one's own",
    undo="keep the view again: nothing but its name and filter is lost",
)
def forget_view(*, view: SavedView) -> None:
    """Forget a view. It is no record of anything, so it is deleted."""
    view.delete()


def _is_page(path: str) -> bool:
    if not path.startswith("/") or path.startswith("//") or len(path) > 200:
        return False
    try:
        return not resolve(path).route.startswith("admin/")
    except Resolver404:
        return False


def _bare(query: str) -> str:
    values = QueryDict(query, mutable=True)
    for name in LEFT_OUT:
        values.pop(name, None)
    bare = values.urlencode()
    if len(bare) > 1000:
        raise UnableToKeepView(_("This filter is too long to be kept. Shorten its text."))
    return bare
