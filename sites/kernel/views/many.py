"""Ticks and acts on many: how a list declares what may be done to the rows that are ticked.

    class DueMany(ManyView[FollowUp]):
        acts = {"due_finish": Act(DueFinish, button=_("Done"), ...)}

An act names the page of a verb: each row goes through that page's own call of it, so guard, lock
and history are the same as on one row. What has to be filled in is asked once for all rows. The
list includes `sites/_many_bar.html` and gives each row a box of that form, whose value is the
row's reference, or several with spaces between: then one box stands for a group, script or not.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Any, ClassVar, Generic, TypeVar
from uuid import UUID, uuid4, uuid5

from django import forms
from django.contrib import messages
from django.db import transaction
from django.db.models import Model, QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views import View

from sites.kernel.access import (
    SignedInRequest,
    page_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.links import is_ours
from sites.kernel.services.many import MOST_AT_ONCE, Named, act_on_many
from sites.kernel.services.sent_forms import SentBefore, digest_of, key_of, note_outcome, take_once
from sites.kernel.services.verbs import UnableToAct
from sites.kernel.views.acts import Act, Look
from sites.models import TickedAct, User

M = TypeVar("M", bound=Model)
ACTED = "acted"
# As many as an address carries, and as one prints or looks through.
MOST_TO_LOOK_AT = 100
# As far as the columns that keep addresses go.
LONGEST_BACK, LONGEST_KEPT = 600, 300


# By the names of their acts, so that an act can be taken back from any page.
LISTS: "dict[str, type[ManyView[Any]]]" = {}
# By the name of the list, for one whose acts belong to a room above its own.
OF_LIST: "dict[str, type[ManyView[Any]]]" = {}


class ManyView(View, Generic[M]):
    """Where a list sends what was ticked. Nothing ticked, nothing done."""

    asks_for: ClassVar[Action]
    # By name: the list itself, and where its ticks are sent.
    list_page: ClassVar[str]
    many_page: ClassVar[str]
    acts: ClassVar[Mapping[str, Act]] = {}
    looks: ClassVar[Mapping[str, Look]] = {}
    most_to_look_at: ClassVar[int] = MOST_TO_LOOK_AT

    request: SignedInRequest

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        LISTS.update(dict.fromkeys(cls.acts, cls))
        if cls.acts:  # one that others only extend has none
            OF_LIST[cls.list_page] = cls

    @classmethod
    def as_view(cls, **initkwargs: Any) -> Callable[..., HttpResponseBase]:
        """Return the view, open to those who may see the list."""
        view: Any = page_for(cls.asks_for)(super().as_view(**initkwargs))  # type: ignore[arg-type]
        return view  # type: ignore[no-any-return]

    # What a list says.

    @classmethod
    def rows_for(cls, user: User, action: Action) -> QuerySet[M]:
        """Return the rows on which the user has the action, with all that a line shows."""
        raise NotImplementedError

    def matching(self, asked: QueryDict) -> QuerySet[M]:
        """Return the rows that the list shows for this query, on all of its pages."""
        raise NotImplementedError

    @classmethod
    def named(cls, row: M) -> Named[M]:
        """Return the row with its words and its page."""
        raise NotImplementedError

    # How it runs.

    def get(self, *_args: Any, **_kwargs: Any) -> HttpResponse:
        """Lead to the list: there is nothing to see without ticks."""
        return redirect(self.list_page)

    def post(self, *_args: Any, **_kwargs: Any) -> HttpResponse:
        """Do it; or ask first, where something has to be filled in or seen."""
        name, refs = self._asked()
        act, look, problem = self.acts.get(name), self.looks.get(name), ""
        if not refs or (act is None and look is None):
            problem = _("Nothing was ticked, so nothing was done. Tick the lines first.")
        elif len(refs) > (most := MOST_AT_ONCE if act else self.most_to_look_at):
            problem = _(
                "%(n)s lines are more than the %(most)s that are taken at once. Nothing was done: "
                "narrow the list down and go in parts."
            ) % {"n": len(refs), "most": most}
        if problem:
            messages.error(self.request, problem)
            return redirect(self._back())
        return self._look_or_act(name, refs)

    def _look_or_act(self, name: str, refs: list[str]) -> HttpResponse:
        if look := self.looks.get(name):
            return redirect(look.url(refs))
        act = self.acts[name]
        rows = self._rows(act, refs)
        form = self._form(act, rows)
        if self._has_to_ask(act) or not form.is_valid():
            return self._ask(name, act, rows, refs, form)
        return self._act(name, act, rows, refs, form)

    def _asked(self) -> tuple[str, list[str]]:
        """Return the act, and the references of its rows in the order of the page."""
        sent = self.request.POST
        name, _colon, only = sent.get("act", "").partition(":")
        given = [only] if only else sent.getlist("rows")
        refs = [ref for each in given for ref in each.split()]
        if sent.get("all") and not only:
            shown = self.matching(QueryDict(sent.get("query", "")))
            if act := self.acts.get(name):
                mine = self.rows_for(self.request.user, act.action).order_by().values("pk")
                shown = shown.filter(pk__in=mine)
            refs = list(shown.values_list("ref", flat=True)[: MOST_AT_ONCE + 1])
        return name, list(dict.fromkeys(refs))

    def _rows(self, act: Act, refs: list[str]) -> list[M]:
        found = self.rows_for(self.request.user, act.action).filter(ref__in=refs)
        by_ref = {getattr(row, "ref"): row for row in found}  # noqa: B009 - any of our tables
        return [by_ref[ref] for ref in refs if ref in by_ref]

    def _is_sure(self) -> bool:
        return bool(self.request.POST.get("sure"))

    def _has_to_ask(self, act: Act) -> bool:
        asks = bool(act.form_class)
        return not self._is_sure() and (asks or bool(self.request.POST.get("all")))

    def _form(self, act: Act, rows: list[M]) -> forms.Form:
        sent = self.request.POST if self._is_sure() or not act.form_class else None
        if act.form_class is None:
            made: Any = act.page.form_class
            return made(sent)  # type: ignore[no-any-return]
        asking: Any = act.form_class
        return asking(sent, rows=rows, today=timezone.localdate())  # type: ignore[no-any-return]

    def _ask(
        self, name: str, act: Act, rows: list[M], refs: list[str], form: forms.Form
    ) -> HttpResponse:
        """Show what is ticked, and the form that is filled in once for all of it."""
        context = {
            "heading": act.heading(len(rows)),
            "button": act.button,
            "form": form,
            "act": name,
            "refs": " ".join(refs),
            "named": [self.named(row) for row in rows],
            "missing": len(refs) - len(rows),
            "once": uuid4(),
            "back": self._back(),
        }
        status = 422 if form.errors else 200
        return render(self.request, "sites/many.html", context, status=status)

    def _act(
        self, name: str, act: Act, rows: list[M], refs: list[str], form: forms.Form
    ) -> HttpResponse:
        """Do it once, however often it is pressed; lead back to the list, which says how it went.

        Another choice sent from the same page is another act: the guards of the rows hold it.
        """
        digest = digest_of(self.request.POST.lists())
        key: UUID = uuid5(key_of(self.request.POST.get("once", "")), digest)
        try:
            with transaction.atomic():
                sent = take_once(key=key, user=self.request.user, digest=digest, at=timezone.now())
                done = act_on_many(
                    [self.named(row) for row in rows],
                    act=name,
                    do=lambda row: self._do(act, row, form),
                    keep=act.keep,
                    say=act.said,
                    missing=len(refs) - len(rows),
                    came_from=self._back(),
                    by=self.request.user,
                    at=timezone.now(),
                )
                led_to = with_acted(self._back(), done.ref)
                # An address too long to keep: the act's own page says the same.
                kept = led_to if len(led_to) <= LONGEST_KEPT else _page_of(done)
                note_outcome(sent, said=done.said, led_to=kept)
        except SentBefore as before:
            messages.info(self.request, _("This was done already: nothing was done twice."))
            return redirect(before.row.led_to or self._back())
        except UnableToAct as refusal:
            messages.error(self.request, str(refusal))
            return redirect(self._back())
        return redirect(led_to)

    def _do(self, act: Act, row: M, form: forms.Form) -> dict[str, Any]:
        """Call the verb as its own page calls it, and return what came of it for the undo."""
        page = act.page()
        page.setup(self.request, ref=getattr(row, "ref"))  # noqa: B009 - any of our tables
        page.row, page.form = row, form
        page.act(form.cleaned_data)
        return act.made(page)

    def _back(self) -> str:
        url = reverse(self.list_page)
        back = came_from(self.request, url)
        return back if len(back) <= LONGEST_BACK else url


def came_from(request: HttpRequest, default: str) -> str:
    """Return the page of ours that the form carries as the one it was opened on."""
    wanted = request.POST.get("back") or request.GET.get("back", "")
    return wanted if wanted.startswith("/") and is_ours(request, wanted) else default


def with_acted(address: str, ref: str) -> str:
    """Return the address of the list with what was just done above it."""
    path, _mark, query = address.partition("?")
    asked = QueryDict(query, mutable=True)
    asked[ACTED] = ref
    return f"{path}?{urlencode(list(_pairs(asked)))}"


def _pairs(asked: QueryDict) -> Iterator[tuple[str, str]]:
    for name, values in asked.lists():
        for value in values:
            yield name, str(value)


def _page_of(one: TickedAct) -> str:
    return reverse("sites:ticked_act", args=[one.ref])
