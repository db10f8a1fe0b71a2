"""The numbers that searches assume: all of them with their status, and setting one's own."""

from typing import Any

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from faults.cases.views.common import posted
from faults.locating.forms.searches import NumberForm
from faults.locating.services.number_words import NumberWords, group_of, number_words
from faults.locating.services.numbers import NumberLine, forget_number, number_lines, set_number
from faults.models import LearnedNumber
from sites.kernel.access import SignedInRequest, may_everywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page


def _crumbs() -> list[tuple[str, str]]:
    return [
        (reverse("faults:searches"), _("Searches")),
        (reverse("faults:search_numbers"), _("Numbers that searches assume")),
    ]


def _line(name: str) -> NumberLine:
    found = next((line for line in number_lines() if line.name == name), None)
    if found is None:
        raise Http404
    return found


def _learned_from(learned: LearnedNumber) -> str:
    return _("own searches (%(n)d of them) up to %(day)s") % {
        "n": learned.searches,
        "day": f"{learned.learned_at:%Y-%m-%d}",
    }


@page_for(Action.SEE_WORK)
def numbers(request: SignedInRequest) -> HttpResponse:
    """Every number, what is built in, what is in force, and what it rests on."""
    lines = [(line, number_words(line.name)) for line in number_lines()]
    groups: dict[str, list[tuple[NumberLine, NumberWords]]] = {}
    for line, words in lines:
        groups.setdefault(group_of(line.name), []).append((line, words))
    context = {
        "groups": groups.items(),
        "own_total": sum(line.own is not None for line, _words in lines),
        "may_set": may_everywhere(request.user, Action.SET_UP_WORK),
        "crumbs": _crumbs()[:1],
    }
    return render(request, "faults/searches/numbers.html", context)


@page_for(Action.SET_UP_WORK)
def number(request: SignedInRequest, name: str) -> HttpResponse:
    """Put a number of one's own in the place of the built-in one."""
    line = _line(name)
    if not may_everywhere(request.user, Action.SET_UP_WORK):
        raise Http404
    words = number_words(name)
    initial = {"value": line.value, "source": line.own.source if line.own else ""}
    if line.learned and "learned" in request.GET:
        initial = {"value": float(line.learned_words), "source": _learned_from(line.learned)}

    def act(data: dict[str, Any]) -> str:
        set_number(name=name, value=data["value"], source=data["source"])
        return _("Kept. Searches that go on count with it from now on.")

    return verb_page(
        request,
        NumberForm(posted(request), initial=initial),
        VerbPage(
            heading=words.words,
            button=_("Keep this number"),
            back=reverse("faults:search_numbers"),
            watched=[line.own] if line.own else [],
            act=act,
            crumbs=_crumbs(),
            lead=_("Built in: %(value)s %(unit)s. Our own assumption, no source.")
            % {"value": f"{line.built_in:g}", "unit": words.unit},
        ),
    )


@page_for(Action.SET_UP_WORK)
def built_in(request: SignedInRequest, name: str) -> HttpResponse:
    """Let searches assume the built-in number again."""
    line = _line(name)
    if line.own is None or not may_everywhere(request.user, Action.SET_UP_WORK):
        raise Http404

    def act(_data: dict[str, Any]) -> str:
        forget_number(name=name)
        return _("Searches assume the built-in number again.")

    return verb_page(
        request,
        forms.Form(posted(request)),
        VerbPage(
            heading=_("Back to the built-in number: %s") % number_words(name).words,
            button=_("Back to %g") % line.built_in,
            back=reverse("faults:search_numbers"),
            watched=[line.own],
            act=act,
            crumbs=_crumbs(),
        ),
    )
