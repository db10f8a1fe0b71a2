"""The page that takes back what was just done: that of the undo which the table of verbs names."""

from dataclasses import dataclass

from django.urls import reverse

from sites.kernel.access import SignedInRequest, actions_anywhere
from sites.kernel.services.verbs import Verb


@dataclass(frozen=True)
class _Page:
    """A page by its name, with the start of its address, which names its thing."""

    verb: Verb
    name: str
    thing: str


# By the name of the verb.
_pages: dict[str, _Page] = {}


def note_page(verb: Verb, route: str, name: str) -> None:
    """Enter the page of a verb; one with several (the board has its own) has its first here."""
    _pages.setdefault(verb.name, _Page(verb, name, _thing_of(route)))


def undo_of(request: SignedInRequest, verb: Verb | None) -> str:
    """Return the address of the page that undoes a verb on the same thing, or an empty text.

    A correction is not offered: it undoes nothing before other values are filled in.
    """
    match = request.resolver_match
    found = _pages.get(verb.undo) if verb else None
    if match is None or found is None or found.thing != _thing_of(match.route):
        return ""
    if found.verb.name.startswith("correct"):
        return ""
    if found.verb.action not in actions_anywhere(request.user):
        return ""
    return reverse(f"{match.namespace}:{found.name}", kwargs=match.kwargs)


def _thing_of(route: str) -> str:
    """Return the part of an address that names a thing: "jobs/<ref:ref>" of a job's verbs."""
    before, bracket, _after = route.partition(">")
    return before + bracket
