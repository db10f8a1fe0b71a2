"""Open a page as a user and read it as people do: headings, words, rows of tables, links."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.test import Client

from sites.models import User
from tests.web.markup import Element, elements_of

HTMX = {"HX-Request": "true"}


@dataclass
class Sheet:
    """A page or fragment as it came back."""

    response: Any

    @property
    def status(self) -> int:
        """The status of the answer."""
        return int(self.response.status_code)

    @cached_property
    def html(self) -> str:
        """What was sent, as text."""
        return str(self.response.content.decode())

    @cached_property
    def tree(self) -> Element:
        """What was sent, as elements."""
        return elements_of(self.html)

    @property
    def words(self) -> str:
        """All words of the page, single-spaced."""
        return self.tree.words

    @property
    def heading(self) -> str:
        """The one main heading."""
        (h1,) = self.tree.find("h1")
        return h1.words

    @property
    def panels(self) -> dict[str, Element]:
        """The parts of the page by the id of the heading that names each."""
        return {
            each.attributes["aria-labelledby"]: each
            for each in self.tree.find("section")
            if "aria-labelledby" in each.attributes
        }

    def panel(self, name: str) -> str:
        """Return the words of one part of the page."""
        return self.panels[name].words

    def rows(self, panel: str | None = None) -> list[list[str]]:
        """Return the words in each cell of each body row, of a panel or the whole page."""
        return (self.panels[panel] if panel else self.tree).rows

    def column(self, number: int, panel: str | None = None) -> list[str]:
        """Return one column of those rows."""
        return [row[number] for row in self.rows(panel)]

    def facts(self, panel: str = "facts") -> dict[str, str]:
        """Return the terms of a panel with what is said of them."""
        terms, said = (self.panels[panel].find(name) for name in ("dt", "dd"))
        return {a.words: b.words for a, b in zip(terms, said, strict=True)}

    @property
    def links(self) -> dict[str, str]:
        """The words of each link and where it leads."""
        return {a.words: a.attributes["href"] for a in self.tree.find("a")}

    @property
    def errors(self) -> list[str]:
        """What is said to be wrong with a form."""
        lists = [each for each in self.tree.find("ul") if "errorlist" in each.classes]
        return [item.words for each in lists for item in each.find("li")]

    @property
    def messages(self) -> list[str]:
        """What a verb says after it was done, without the link that takes it back."""
        return [_without_undo(item) for item in self._messages]

    @property
    def undo(self) -> str:
        """Where the message leads that takes back what was done; empty where nothing does."""
        links = [each for item in self._messages for each in item.find("a")]
        return next((a.attributes["href"] for a in links if "undo" in a.classes), "")

    @property
    def _messages(self) -> list[Element]:
        lists = [each for each in self.tree.find("ul") if "messages" in each.classes]
        return [item for each in lists for item in each.find("li")]

    def value(self, field: str) -> str:
        """Return what a field of a form holds."""
        inputs = self.tree.find("input", name=field)
        if inputs:
            return inputs[0].attributes.get("value", "")
        (select,) = self.tree.find("select", name=field)
        chosen = [each for each in select.find("option") if "selected" in each.attributes]
        return chosen[0].attributes["value"] if chosen else ""


def _without_undo(item: Element) -> str:
    left = [each for each in item.children if isinstance(each, str) or "undo" not in each.classes]
    return Element("li", children=left).words


def signed_in(user: User | None) -> Client:
    """Return a browser in which this user has signed in, or nobody has."""
    browser = Client(raise_request_exception=False)
    if user is not None:
        browser.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return browser


def open_page(user: User | None, url: str, **headers: str) -> Sheet:
    """Open an address as this user."""
    return Sheet(signed_in(user).get(url, headers=headers))


def fragment(user: User | None, url: str) -> Sheet:
    """Fetch an address as htmx does."""
    return Sheet(signed_in(user).get(url, headers=HTMX))


def send(user: User | None, url: str, **fields: Any) -> Sheet:
    """Send a form as this user, and go where the answer leads."""
    return Sheet(signed_in(user).post(url, fields, follow=True))
