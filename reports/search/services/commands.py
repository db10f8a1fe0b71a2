"""What the command search offers: pages, things to do, and things, for what was typed and where."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TypeVar

from django.urls import Resolver404, get_script_prefix, resolve
from django.utils.translation import get_language, override
from django.utils.translation import gettext as _

from reports.search.engines.asked import Asked
from reports.search.engines.menu import fit, folded, nearly_fits, of_the_menu
from reports.search.services.everything import find_everything
from reports.search.services.places import Places, keys
from sites.kernel.access import properties_for
from sites.kernel.links import page_of
from sites.kernel.services.pages import PAGES_OF_PROPERTY, Page, PageOfProperty
from sites.kernel.services.wayfinding import address_of, pages_at, pages_for
from sites.models import Property, User

MOST_PLACES = 3
MOST_OF_A_KIND = 8
# From an open page to its property: the first word of its route, and the lookup.
_TO_PLACE = {
    "properties": "ref",
    "controllers": "controllers__ref",
    "stations": "controllers__stations__ref",
}
AnyPage = Page | PageOfProperty
P = TypeVar("P", Page, PageOfProperty)
Fit = Callable[[Sequence[str], str, str], int | None]


@dataclass(frozen=True)
class Option:
    """One line of the list."""

    title: str
    url: str
    where: str = ""


@dataclass(frozen=True)
class Offer:
    """Options of one kind under a heading."""

    title: str
    options: Sequence[Option]


def place_at(user: User, path: str) -> Property | None:
    """Return the property that the page at this path is about, if it is one of the user's."""
    try:
        found = resolve("/" + path.removeprefix(get_script_prefix()))
    except Resolver404:
        return None
    lookup = _TO_PLACE.get(found.route.split("/")[0])
    ref = found.kwargs.get("ref")
    if lookup is None or ref is None:
        return None
    return properties_for(user).in_care().filter(**{lookup: ref}).first()


def offers(user: User, text: str, *, at: Property | None = None) -> list[Offer]:
    """Return what fits the text, the best first; without a text, all there is to open here.

    Args:
        at: the property of the open page: what can be done there is offered without naming it.
    """
    asked = tuple(folded(word) for word in Asked.read(text).words)
    places = Places(user) if asked else None
    found = _things(user, text, places)
    lists = [
        _here(user, asked, at) if at is not None else [],
        _pages(user, asked, is_verb=False),
        [*_pages(user, asked, is_verb=True), *_on_named_places(user, asked, places)],
    ]
    if asked and not found and not any(lists):
        lists[1] = _pages(user, asked, is_verb=False, fits=nearly_fits)
        lists[2] = _pages(user, asked, is_verb=True, fits=nearly_fits)
    here = _("Here: %s") % at if at is not None else ""
    titles = (here, _("Pages"), _("Do"))
    shown = [Offer(title, each) for title, each in zip(titles, lists, strict=True) if each]
    return [*shown, *found]


def _things(user: User, text: str, places: Places | None) -> list[Offer]:
    groups = find_everything(user, text, places=places)
    return [
        Offer(group.title, [Option(hit.name, hit.url, hit.where) for hit in group.hits])
        for group in groups
    ]


def _pages(user: User, asked: Sequence[str], *, is_verb: bool, fits: Fit = fit) -> list[Option]:
    pages = [page for page in pages_for(user) if page.is_verb is is_verb]
    return [
        Option(str(page.title), address_of(page.name)) for page in _best(pages, asked, fits=fits)
    ]


def _here(user: User, asked: Sequence[str], at: Property) -> list[Option]:
    best = _best(pages_at(user, at), asked)
    return [_at(page, at) for page in best]


def _on_named_places(user: User, asked: Sequence[str], places: Places | None) -> list[Option]:
    """What can be done on a property that the text names beside the verb."""
    wanted: dict[tuple[str, ...], list[PageOfProperty]] = {}
    for page in PAGES_OF_PROPERTY:
        rest, fits_some = of_the_menu(asked, *_both_languages(page))
        if rest and fits_some:
            wanted.setdefault(rest, []).append(page)
    if places is None or not wanted:
        return []
    # The words that the verb leaves over name the place; the fewer are left, the better it fits.
    for rest in sorted(wanted, key=len):
        named = keys(places.named(rest)[:MOST_PLACES])
        if named:
            rows = properties_for(user).filter(pk__in=named).order_by("code", "pk")
            return [
                _at(page, place, where=str(place))
                for place in rows
                for page in pages_at(user, place)
                if page in wanted[rest]
            ][:MOST_OF_A_KIND]
    return []


def _at(page: PageOfProperty, place: Property, *, where: str = "") -> Option:
    return Option(str(page.title), page_of(page.name, place.ref), where)


def _best(pages: Iterable[P], asked: Sequence[str], *, fits: Fit = fit) -> list[P]:
    ranked = [(fits(asked, *_both_languages(page)), page) for page in pages]
    fitting = [(how, page) for how, page in ranked if how is not None]
    # Of titles that fit alike the shortest says little else; without a text, the declared order.
    fitting.sort(key=lambda each: (each[0], len(str(each[1].title)) if asked else 0))
    return [page for _how, page in fitting]


def _both_languages(page: AnyPage) -> tuple[str, str]:
    return _words(page, get_language() or "en")


@cache
def _words(page: AnyPage, language: str) -> tuple[str, str]:
    """Return the title, and all words by which it is found: those of English work everywhere."""
    with override(language):
        title, words = str(page.title), str(page.words)
    with override("en"):
        return title, f"{words} {page.title} {page.words}"
