"""One page for every verb: a form, its guard's words, and no overwriting of other users."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.contrib import messages
from django.db import transaction
from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import redirect, render

from sites.access import SignedInRequest
from sites.services.verbs import (
    ChangedMeanwhile,
    UnableToAct,
    lock_and_refuse_if_changed,
    stamp_of,
)


@dataclass(frozen=True)
class VerbPage:
    """What the page says around the form.

    `watched` are the rows that the form was made from: if anyone changed them after the form
    was opened, the form comes back with what was typed and what was changed. `act` gets the
    cleaned data, makes one call of a verb and returns the sentence that tells its success;
    `after` gives the address to go to (default: `back`).
    """

    heading: str
    button: str
    back: str
    watched: Sequence[Model]
    act: Callable[[dict[str, Any]], str]
    crumbs: Sequence[tuple[str, str]] = ()
    lead: str = ""
    caution: str = ""
    template: str = "sites/verb.html"
    after: Callable[[], str] | None = None
    extra: dict[str, Any] = field(default_factory=dict)


def verb_page(request: SignedInRequest, form: forms.BaseForm, page: VerbPage) -> HttpResponse:
    """Show the form, or act on it. Refusals keep what was typed and answer 422."""
    meanwhile: list[Any] = []
    if request.method == "POST" and form.is_valid():
        try:
            with transaction.atomic():
                lock_and_refuse_if_changed(page.watched, request.POST.get("stamp", ""))
                words = page.act(form.cleaned_data)
        except ChangedMeanwhile as refusal:
            meanwhile = list(refusal.changes)
            form.add_error(None, str(refusal))
        except UnableToAct as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
        else:
            messages.success(request, words)
            return redirect(page.after() if page.after else page.back)
    context = {
        "form": form,
        "meanwhile": meanwhile,
        "stamp": stamp_of(page.watched),
        "heading": page.heading,
        "button": page.button,
        "back": page.back,
        "crumbs": page.crumbs,
        "lead": page.lead,
        "caution": page.caution,
        **page.extra,
    }
    return render(request, page.template, context, status=422 if form.errors else 200)
