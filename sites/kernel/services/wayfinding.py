"""Which of the declared pages a user may open, and which of them stand around a page."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property

from django.urls import get_script_prefix, get_urlconf, resolve, reverse

from sites.kernel.access import actions_anywhere, is_client_only, may, may_everywhere, roles_of
from sites.kernel.engines.roles import Action, Role
from sites.kernel.links import page_of
from sites.kernel.services.pages import (
    FIRST,
    GROUP_WORDS,
    IN_HEAD,
    PAGES,
    PAGES_OF_PROPERTY,
    Group,
    Page,
    PageOfProperty,
)
from sites.models import Property, User
from sites.models.base import REF_ALPHABET, REF_LENGTH

_PAGES = {page.name: page for page in PAGES}
_SAMPLE = REF_ALPHABET[0] * REF_LENGTH
# Clients are shown these, and find the others by the search.
_HEAD_OF_CLIENTS = frozenset({"reports:mine", "faults:faults", "faults:report"})


@dataclass(frozen=True)
class Link:
    """A page as it is shown; `current` is the word of `aria-current`, empty elsewhere."""

    title: str
    url: str
    current: str = ""


@dataclass(frozen=True)
class Listed:
    """The pages of one group and what can be done there, for the list of all pages."""

    title: str
    pages: Sequence[Link]
    verbs: Sequence[Link]


class Ways:
    """The ways that lead on from the page at `path`."""

    def __init__(self, user: User, path: str) -> None:
        self._user = user
        self._path = path

    @cached_property
    def _open(self) -> list[Page]:
        return pages_for(self._user)

    @cached_property
    def _here(self) -> Page | None:
        return _page_at(self._path, self._open)

    @cached_property
    def _firsts(self) -> list[Page]:
        return _firsts(self._user, self._open)

    @property
    def first(self) -> str:
        """Return where this user's work starts."""
        return _start(self._firsts)

    @property
    def head(self) -> list[Link]:
        """Return at most six: each group by its first page, which the role decides."""
        if is_client_only(self._user):
            return [self._link(page) for page in self._open if page.name in _HEAD_OF_CLIENTS]
        return [self._head_of(group) for group in IN_HEAD if self._pages_of(group)]

    @property
    def beside(self) -> list[Link]:
        """Return the pages of the open page's group: what else there is of its kind."""
        if self._here is None or is_client_only(self._user):
            return []
        pages = self._pages_of(self._here.group)
        names = {page.name for page in pages}
        shown = [page for page in pages if page.within not in names]
        return [self._link(each) for each in shown] if len(shown) > 1 else []

    @property
    def bar(self) -> list[Link]:
        """Return the three that a phone shows at its foot, beside the search."""
        return [self._link(page) for page in self._firsts[:3]]

    def _pages_of(self, group: Group) -> list[Page]:
        return [page for page in self._open if page.group is group and not page.is_verb]

    def _head_of(self, group: Group) -> Link:
        pages = self._pages_of(group)
        page = next((each for each in self._firsts if each in pages), pages[0])
        is_open = self._here is not None and self._here.group is group
        url = address_of(page.name)
        return Link(str(GROUP_WORDS[group]), url, self._current(url, is_open=is_open))

    def _link(self, page: Page) -> Link:
        url = address_of(page.name)
        is_open = self._here is not None and page.name in (self._here.name, self._here.within)
        return Link(str(page.title), url, self._current(url, is_open=is_open))

    def _current(self, url: str, *, is_open: bool) -> str:
        return "page" if url == self._path else "true" if is_open else ""


def pages_for(user: User) -> list[Page]:
    """Return the declared pages that the user may open, in the order of the declaration."""
    actions = actions_anywhere(user)
    # A client's own start stands in the place of the one of our people.
    hidden = {"reports:home"} if is_client_only(user) else set()
    if Role.CLIENT not in roles_of(user):
        hidden.add("reports:mine")
    return [page for page in PAGES if page.name not in hidden and _opens(user, page, actions)]


def pages_at(user: User, place: Property) -> list[PageOfProperty]:
    """Return the declared pages of one property that the user may open there."""
    return [page for page in PAGES_OF_PROPERTY if _opens_at(user, page, place)]


def all_pages(user: User) -> list[Listed]:
    """Return every page that the user may open, by group."""
    pages = pages_for(user)
    listed = []
    for group in Group:
        own = [page for page in pages if page.group is group]
        if own:
            shown, verbs = ([_plain(p) for p in own if p.is_verb is verb] for verb in (False, True))
            listed.append(Listed(str(GROUP_WORDS[group]), shown, verbs))
    return listed


def first_page(user: User) -> str:
    """Return the address at which this user's work starts; without any role, one's settings."""
    return _start(_firsts(user, pages_for(user)))


def address_of(name: str) -> str:
    """Return the address of a declared page, worked out once."""
    return _address(name, get_script_prefix(), get_urlconf())


def _opens(user: User, page: Page, actions: set[Action]) -> bool:
    asked = _asked_by(_path(address_of(page.name)))
    if asked is None:
        return True
    return may_everywhere(user, asked) if page.for_all_properties else asked in actions


def _opens_at(user: User, page: PageOfProperty, place: Property) -> bool:
    asked = _asked_by(_path(page_of(page.name, _SAMPLE)))
    return asked is not None and may(user, asked, place)


@cache
def _asked_by(path: str) -> Action | None:
    """Return the action that the view at this address asks for; None: open to all who sign in."""
    action: Action | None = getattr(resolve(path).func, "asks_for", None)
    return action


def _path(address: str) -> str:
    """Return the address as the resolver reads it: without the prefix of the installation."""
    return "/" + address.removeprefix(get_script_prefix())


def _firsts(user: User, pages: Sequence[Page]) -> list[Page]:
    """Return the first pages of the user's roles that are open; the first of several roles wins."""
    roles = roles_of(user)
    names = dict.fromkeys(name for role in Role if role in roles for name in FIRST[role])
    return [_PAGES[name] for name in names if _PAGES[name] in pages]


def _start(firsts: Sequence[Page]) -> str:
    return address_of(firsts[0].name if firsts else "sites:account")


def _page_at(path: str, pages: Sequence[Page]) -> Page | None:
    """Return the page with the longest beginning of this path; the home page only as it is."""
    root = get_script_prefix()
    found: tuple[int, Page | None] = (0, None)
    for page in pages:
        own = address_of(page.name)
        if own == path:
            return page
        for start in (own, *(root + each for each in page.below)):
            if start != root and path.startswith(start) and len(start) > found[0]:
                found = len(start), page
    return found[1]


def _plain(page: Page) -> Link:
    return Link(str(page.title), address_of(page.name))


@cache
def _address(name: str, prefix: str, urlconf: str | None) -> str:
    return reverse(name, urlconf)
