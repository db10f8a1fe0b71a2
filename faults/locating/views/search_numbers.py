"""The numbers that searches assume: all of them with their status, and setting one's own."""

from django.db.models import Model
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from faults.locating.forms.search_number import NumberForm
from faults.locating.services.number_words import NumberWords, group_of, number_words
from faults.locating.services.numbers import NumberLine, forget_number, number_lines, set_number
from faults.models import LearnedNumber
from sites.kernel.access import SignedInRequest, may_everywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_views import Crumbs, Text, VerbView


def _crumbs() -> Crumbs:
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


class _NumberView(VerbView[NumberLine]):
    takes = "line"

    def find(self) -> NumberLine:
        line = _line(self.kwargs["name"])
        if not may_everywhere(self.user, self.may_do):
            raise Http404
        return line

    def get_watched(self) -> list[Model]:
        return [self.row.own] if self.row.own else []

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        return super().arguments({**data, "name": self.row.name})

    def get_back(self) -> str:
        return reverse("faults:search_numbers")

    def get_crumbs(self) -> Crumbs:
        return _crumbs()


class SearchNumber(_NumberView):
    """Put a number of one's own in the place of the built-in one."""

    verb = set_number
    form_class = NumberForm
    button = _("Keep this number")
    done = _("Kept. Searches that go on count with it from now on.")

    def get_initial(self) -> dict[str, object]:
        line = self.row
        if line.learned and "learned" in self.request.GET:
            learned = _learned_from(line.learned)
            return {"value": float(line.learned_words), "source": learned}
        return {"value": line.value, "source": line.own.source if line.own else ""}

    def get_heading(self) -> Text:
        return number_words(self.row.name).words

    def get_lead(self) -> Text:
        return _("Built in: %(value)s %(unit)s. Our own assumption, no source.") % {
            "value": f"{self.row.built_in:g}",
            "unit": number_words(self.row.name).unit,
        }


class SearchNumberBuiltIn(_NumberView):
    """Let searches assume the built-in number again."""

    verb = forget_number
    done = _("Searches assume the built-in number again.")

    def find(self) -> NumberLine:
        line = super().find()
        if line.own is None:
            raise Http404
        return line

    def get_heading(self) -> Text:
        words = number_words(self.row.name).words
        return str(_("Back to the built-in number: %s") % words)

    def get_button(self) -> Text:
        return _("Back to %g") % self.row.built_in
