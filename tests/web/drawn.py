"""Requests drawn at random over every address of the site, each answered and then taken back.

The forms are read from the pages themselves: their fields, what stands in them and what they
offer. A drawn form starts as a person would fill it in, so that it gets past its own checks, and
then some of its fields are changed, doubled or left out.
"""

import random
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from html import unescape
from urllib.parse import parse_qsl, quote, urlencode, urlsplit

from tests.web.addresses import Address
from tests.web.markup import Element, elements_of
from tests.web.strange import any_value, plausible_value, strange_file, strange_value

Pairs = list[tuple[str, str]]
# What pages read from a query, besides what their own forms and links name.
KNOWN = ("page", "per_page", "sort", "q", "export", "day", "from", "to", "next", "columns", "as")
BOUNDARY = "drawn-boundary"
NOT_SENT = {"submit", "button", "reset", "image"}
# It goes in a header, as scripts send it, so that a form is refused by what is in it alone.
TOKEN = "csrfmiddlewaretoken"
BODIES = (
    (b"", "application/json"),
    (b"[" * 5_000, "application/json"),
    (b'{"items": [{"id": "\\ud800", "at": 1e999}], "user": []}', "application/json"),
    (b"null", "application/json"),
    (b"\xff\xfe\x00", "application/x-www-form-urlencoded; charset=utf-16"),
    (b"a=b", "application/x-www-form-urlencoded; charset=nothing"),
    (b"--x\r\nContent-Disposition: form-data\r\n\r\n", "multipart/form-data; boundary=x"),
    (b"--x\r\n", "multipart/form-data"),
    (b"--x--", "multipart/form-data; boundary=\xc3\xa9"),
    (b"a=1&" * 3_000, "application/x-www-form-urlencoded"),
    (b"<a/>", "text/xml"),
)


@dataclass(frozen=True)
class Field:
    """One field of a form: what it is called, its kind, what stands in it, what it offers."""

    name: str
    kind: str
    value: str
    options: tuple[str, ...] = ()


@dataclass(frozen=True)
class Form:
    """A form of a page: where it is sent and how, and its fields."""

    path: str
    method: str
    fields: tuple[Field, ...]


@dataclass(frozen=True)
class Drawn:
    """One request as it is sent."""

    method: str
    url: str
    body: bytes = b""
    content_type: str = ""
    is_fragment: bool = False

    def __str__(self) -> str:
        """Return it as a person would have to repeat it."""
        body = f" {self.content_type} {self.body[:1500]!r}" if self.method == "POST" else ""
        return f"{self.method} {self.url[:500]}{body}{' by htmx' if self.is_fragment else ''}"


@dataclass
class Known:
    """The forms and the names of queries that pages were found to have, by path."""

    forms: dict[str, list[Form]] = field(default_factory=dict)
    names: dict[str, set[str]] = field(default_factory=dict)

    def read(self, path: str, html: str) -> None:
        """Learn from a page that was opened at this path."""
        tree = elements_of(html)
        for each in tree.find("form"):
            form = _form(each, path)
            if form not in self.forms.setdefault(form.path, []):
                self.forms[form.path].append(form)
            self.names.setdefault(form.path, set()).update(one.name for one in form.fields)
        for link in tree.find("a"):
            whole = urlsplit(unescape(link.attributes.get("href", "")))
            names = {name for name, _ in parse_qsl(whole.query, keep_blank_values=True)}
            self.names.setdefault(whole.path or path, set()).update(names)


def _form(element: Element, path: str) -> Form:
    method = element.attributes.get("method", "get").upper()
    action = element.attributes.get("action") or element.attributes.get("hx-post", "")
    fields = [
        *(_input(each) for each in element.find("input")),
        *(_select(each) for each in element.find("select")),
        *(Field(each.attributes.get("name", ""), "text", each.words) for each in _areas(element)),
    ]
    asked = tuple(
        each for each in fields if each.name not in ("", TOKEN) and each.kind not in NOT_SENT
    )
    return Form(urlsplit(action).path or path, method, asked)


def _areas(element: Element) -> list[Element]:
    return element.find("textarea")


def _input(element: Element) -> Field:
    told = element.attributes
    kind = told.get("type", "text")
    options = (told.get("value", "on"),) if kind in {"checkbox", "radio"} else ()
    return Field(told.get("name", ""), kind, told.get("value", ""), options)


def _select(element: Element) -> Field:
    values = [each.attributes.get("value", each.words) for each in element.find("option")]
    chosen = [each for each in element.find("option") if "selected" in each.attributes]
    value = chosen[0].attributes.get("value", "") if chosen else ""
    return Field(element.attributes.get("name", ""), "select", value, tuple(filter(None, values)))


def draw_request(
    draw: random.Random, address: Address, path: str, known: Known, today: date
) -> Drawn:
    """Return a request for this address.

    Args:
        path: the address with samples in its variable parts. today: what stands in plausible days.
    """
    if draw.random() < 0.04 and address.keys:
        path = _bent(draw, path)
    forms = [each for each in known.forms.get(path, []) if each.method == "POST"]
    asks = [each for each in known.forms.get(path, []) if each.method != "POST"]
    names = sorted(known.names.get(path, set()) | set(KNOWN))
    is_fragment = draw.random() < 0.1
    what = draw.random()
    if forms and what < 0.65:
        return _sent(draw, draw.choice(forms), today, is_fragment)
    if asks and what < 0.8:
        pairs = _filled(draw, draw.choice(asks), today)
        return Drawn("GET", f"{path}?{_query(pairs)}", is_fragment=is_fragment)
    if what < 0.85:
        pairs = [(draw.choice(names), any_value(draw)) for _ in range(draw.randint(0, 4))]
        return Drawn("GET", f"{path}?{_query(pairs)}", is_fragment=is_fragment)
    if what < 0.95:
        pairs = [(draw.choice(names), any_value(draw)) for _ in range(draw.randint(0, 6))]
        kind = "application/x-www-form-urlencoded"
        return Drawn("POST", path, _query(pairs).encode(), kind, is_fragment)
    body, kind = draw.choice(BODIES)
    return Drawn("POST", path, body, kind, is_fragment)


def _sent(draw: random.Random, form: Form, today: date, is_fragment: bool) -> Drawn:
    pairs = _filled(draw, form, today)
    files = [each.name for each in form.fields if each.kind == "file"]
    if not files and draw.random() < 0.9:
        kind = "application/x-www-form-urlencoded"
        return Drawn("POST", form.path, _query(pairs).encode(), kind, is_fragment)
    kind = f"multipart/form-data; boundary={BOUNDARY}"
    return Drawn("POST", form.path, _parts(draw, pairs, files), kind, is_fragment)


def _filled(draw: random.Random, form: Form, today: date) -> Pairs:
    """Return the fields as a person would fill them in, with some of them changed."""
    pairs: Pairs = []
    changed = draw.choice((0.0, 0.1, 0.1, 0.3, 1.0))
    for each in form.fields:
        if each.kind == "file":
            continue
        if draw.random() < changed:
            pairs += _changed(draw, each)
        elif each.kind in {"checkbox", "radio"}:
            pairs += [(each.name, each.options[0])] if draw.random() < 0.5 else []
        elif (each.value and draw.random() < 0.8) or each.kind == "hidden" or draw.random() < 0.2:
            pairs.append((each.name, each.value))
        else:
            pairs.append((each.name, plausible_value(draw, each.kind, each.options, today)))
    return pairs


def _changed(draw: random.Random, each: Field) -> Pairs:
    how = draw.random()
    if how < 0.1:
        return []
    strange = (each.name, strange_value(draw, each.kind))
    if how < 0.2:
        return [strange, (each.name, each.value)]
    if how < 0.25:
        return [(f"{each.name}[]", strange[1]), strange, strange]
    return [strange]


def _bent(draw: random.Random, path: str) -> str:
    """Return the path with one of its parts replaced by what it may not be ready for."""
    parts = path.strip("/").split("/")
    text = any_value(draw)[:200]
    parts[draw.randrange(len(parts))] = quote(text.encode("utf-8", "surrogatepass"), safe="")
    return f"/{'/'.join(parts)}/"


def _query(pairs: Iterable[tuple[str, str]]) -> str:
    return urlencode(list(pairs), errors="surrogatepass")


def _parts(draw: random.Random, pairs: Pairs, files: list[str]) -> bytes:
    body = b""
    for name, value in pairs:
        body += f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n'.encode()
        body += value.encode("utf-8", "surrogatepass") + b"\r\n"
    for name in files:
        filename, content = strange_file(draw)
        body += (
            f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"; '
            f'filename="{filename}"\r\nContent-Type: application/octet-stream\r\n\r\n'
        ).encode()
        body += content + b"\r\n"
    return body + f"--{BOUNDARY}--\r\n".encode()
