"""One page for every verb: a form, its guard's words, and no overwriting of other users."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.contrib import messages
from django.db import transaction
from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.html import format_html
from django.utils.translation import gettext as _

from sites.kernel.access import SignedInRequest
from sites.kernel.services.sent_forms import SentBefore, digest_of, key_of, note_outcome, take_once
from sites.kernel.services.verbs import (
    ChangedMeanwhile,
    UnableToAct,
    lock_and_refuse_if_changed,
    stamp_of,
)
from sites.models import SentForm


@dataclass(frozen=True)
class VerbPage:
    """What the page says around the form.

    `watched` are the rows that the form was made from: if anyone changed them after the form
    was opened, the form comes back with what was typed and what was changed. `act` gets the
    cleaned data, makes one call of a verb and returns the sentence that tells its success;
    `after` gives the address to go to (default: `back`), `undo` that of the page that takes it
    back.
    """

    heading: str
    button: str
    back: str
    watched: Sequence[Model]
    act: Callable[[dict[str, Any]], str]
    crumbs: Sequence[tuple[str, str | Promise]] = ()
    lead: str = ""
    caution: str = ""
    template: str = "sites/verb.html"
    after: Callable[[], str] | None = None
    undo: Callable[[], str] | None = None
    extra: dict[str, object] = field(default_factory=dict)


def _act_once(
    request: SignedInRequest, form: forms.BaseForm, page: VerbPage, once: UUID, digest: str
) -> tuple[str, str]:
    """Call the verb in one transaction with the form's key; return its words and where to go."""
    with transaction.atomic():
        # First the key: a second press then meets the first, not what the first has changed.
        row = take_once(key=once, user=request.user, digest=digest, at=timezone.now())
        lock_and_refuse_if_changed(page.watched, request.POST.get("stamp", ""))
        said = page.act(form.cleaned_data)
        led_to = page.after() if page.after else page.back
        note_outcome(row, said=said, led_to=led_to)
    return said, led_to


def sent_before(row: SentForm) -> str:
    """Return what is said to whoever sends a form that was taken."""
    return _(
        "This form was sent before and taken: “%s” Nothing was added twice. If this is another "
        "one, send it again."
    ) % (row.said or row.taken_at.isoformat(" ", "minutes"))


def _with_undo(said: str, undo: str) -> str:
    """Add the way back to the sentence of success."""
    if not undo:
        return said
    return format_html('{} <a class="undo" href="{}">{}</a>', said, undo, _("Take back"))


def verb_page(request: SignedInRequest, form: forms.BaseForm, page: VerbPage) -> HttpResponse:
    """Show the form, or act on it. Refusals keep what was typed and answer 422."""
    meanwhile: list[object] = []
    once = key_of(request.POST.get("once", ""))
    if request.method == "POST" and form.is_valid():
        digest = digest_of(request.POST.lists())
        try:
            said, led_to = _act_once(request, form, page, once, digest)
        except ChangedMeanwhile as refusal:
            meanwhile = list(refusal.changes)
            form.add_error(None, str(refusal))
        except UnableToAct as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
        except SentBefore as before:
            if before.row.digest == digest and before.row.user_id == request.user.pk:
                messages.info(request, sent_before(before.row))
                return redirect(before.row.led_to or page.back)
            # Something else was typed into a form that was taken: kept, and asked about.
            once = uuid4()
            form.add_error(None, sent_before(before.row))
        else:
            messages.success(request, _with_undo(said, page.undo() if page.undo else ""))
            return redirect(led_to)
    context = {
        "once": once,
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
