"""Each declared page of a verb: its verb gets all that it needs, and all that is asked is used."""

import re
from collections.abc import Iterator
from inspect import Parameter, getsource, signature
from pathlib import Path
from typing import Any

import pytest
from django import forms
from django.urls import get_resolver

from sites.kernel.views.verb_views import ALWAYS_KNOWN, VerbView
from tests.architecture.source import APPS, CHECKOUT, python_files

View = type[VerbView[Any]]


def _declared(patterns: Any = None) -> Iterator[View]:
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if hasattr(pattern, "url_patterns"):
            yield from _declared(pattern.url_patterns)
        elif issubclass(view := getattr(pattern.callback, "view_class", object), VerbView):
            yield view


def _is_replaced(view: View, *names: str) -> bool:
    return any(getattr(view, name) is not getattr(VerbView, name) for name in names)


# A page that makes its form, or calls its verb, by a method of its own is held by its own tests.
PLAIN = [
    view
    for view in dict.fromkeys(_declared())
    if not _is_replaced(view, "act", "arguments", "named", "get_verb", "get_form", "form")
]


def _fields_of(form: Any) -> set[str]:
    """Return the fields of a form, those that it makes when it is made among them."""
    return {*form.base_fields, *re.findall(r'self\.fields\["(\w+)"\] =', getsource(form))}


def _methods_of(form: Any) -> set[str]:
    return {name for name in dir(form) if not hasattr(forms.Form, name)}


def test_no_page_of_a_verb_is_written_by_hand() -> None:
    """The page that shows and sends the form of a verb is called by `VerbView` alone."""
    calling = {
        str(path.relative_to(CHECKOUT))
        for path in python_files(*APPS)
        if re.search(r"\b(verb_page|VerbPage)\(", path.read_text())
    }
    kernel = Path("sites/kernel/views")
    assert calling == {str(kernel / "verbs.py"), str(kernel / "verb_views.py")}


def test_most_pages_are_plain() -> None:
    assert len(PLAIN) > len(list(_declared())) / 2 > 10


@pytest.mark.parametrize("view", PLAIN, ids=lambda view: view.__name__)
def test_the_verb_of_a_page_gets_all_that_it_needs(view: View) -> None:
    needed = {
        name
        for name, each in signature(view.verb).parameters.items()
        if each.default is Parameter.empty
    }
    form: Any = view.form_class
    if "values" in _methods_of(form):
        return  # its values are named by the form itself; its own tests send it
    chosen = getattr(view, "takes_chosen", view.takes)
    known = {view.takes, chosen, *ALWAYS_KNOWN, *_fields_of(form), *_methods_of(form)}
    assert needed - known == set()


@pytest.mark.parametrize("view", PLAIN, ids=lambda view: view.__name__)
def test_what_a_page_asks_for_reaches_its_verb(view: View) -> None:
    form: Any = view.form_class
    wanted = set(signature(view.verb).parameters)
    if wanted & _methods_of(form) or "values" in _methods_of(form):
        return  # the form's own method gathers its fields
    assert _fields_of(form) - wanted == set()
