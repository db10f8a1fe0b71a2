"""The page of a verb, declared: which verb, on what, by which form, in which words.

    class JobWithdraw(JobView):
        verb = withdraw_job
        form_class = WhyForm
        heading, button = _("Withdraw this job"), _("Withdraw it")
        done = _("Withdrawn. It can be brought back.")

The room's own base class (here `JobView`) says how the row is found, where the page leads back to,
and as what the verb takes the row. Everything else has an answer here that a page may replace by
an attribute or, where it depends on the row, by the method of the same name with `get_`.
"""

import re
from collections.abc import Callable, Sequence
from datetime import date
from functools import cached_property
from inspect import signature
from itertools import takewhile
from typing import Any, ClassVar, Generic, TypeVar

from django import forms
from django.db.models import Model
from django.http import HttpRequest, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import redirect
from django.urls import URLPattern, path
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy
from django.views import View

from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.undo import note_page, undo_of
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Property, User, today_at

Row = TypeVar("Row")
Text = str | Promise
Crumbs = Sequence[tuple[str, Text]]


class NothingToAsk(forms.Form):
    """Nothing to fill in: the page says what will happen, the button does it."""


class VerbView(View, Generic[Row]):
    """One page of one verb.

    The verb's arguments are found by their names: `takes` is the row, then the form's own methods
    (`facts`, `stations`), then what was filled in (or `form.values()`, where the form has it and
    the verb takes no `values`), then `by`, `at`, `now` and `today` (at the property).
    A page with two verbs, or one that gives more, replaces `arguments` or `act`. What a form is
    made with is found by its names too: `takes`, `row`, `place` and `today`.

    In `heading`, `button`, `lead` and `done` a `%s` stands for `get_named()`, the row.
    """

    verb: ClassVar[Callable[..., Any]]
    # Only for a page with several verbs; else it is the verb's.
    action: ClassVar[Action]
    takes: ClassVar[str] = "row"
    form_class: ClassVar[type[forms.BaseForm]] = NothingToAsk
    # Fields that start with today.
    starts_today: ClassVar[Sequence[str]] = ()
    heading: Text
    button: Text = gettext_lazy("Keep this")
    lead: Text = ""
    caution: Text = ""
    done: Text = gettext_lazy("Kept.")
    template_name = "sites/verb.html"
    asks_again: ClassVar[bool] = False  # for the password, where the last is long ago

    request: SignedInRequest
    # What the verb returned, once it was called.
    result: Any

    @classmethod
    def asked_action(cls) -> Action:
        """Return the action without which the page is closed."""
        own: Action | None = getattr(cls, "action", None)
        return own or cls.verb.verb.action  # type: ignore[attr-defined]

    @classmethod
    def as_view(cls, **initkwargs: Any) -> Callable[..., HttpResponseBase]:
        """Return the view, open to those who have the verb's action somewhere."""
        view: Any = page_for(cls.asked_action())(super().as_view(**initkwargs))  # type: ignore[arg-type]
        view.__name__, view.asks_again = cls.__name__, cls.asks_again
        return view  # type: ignore[no-any-return]

    # What a room's base class says.

    def find(self) -> Row:
        """Return the row that the address names, or raise Http404; rights are `self.may_do`."""
        raise NotImplementedError

    def get_place(self) -> Property | None:
        """Return the property whose day is today, or None where the viewer's day counts."""
        return None

    def get_back(self) -> str:
        """Return the address of the page that this one leads back to."""
        raise NotImplementedError

    def get_crumbs(self) -> Crumbs:
        """Return the way to this page."""
        return []

    def get_named(self) -> object:
        """Return what a `%s` stands for."""
        return self.row

    # What a page may say in a method, where an attribute is not enough.

    def get_form(self) -> forms.BaseForm:
        """Return the form, filled with what was sent."""
        return self.form_class(self.posted, **self.get_form_kwargs())

    def get_form_kwargs(self) -> dict[str, Any]:
        """Return what the form is made with: `initial`, and what its `__init__` names."""
        initial = self.get_initial()
        wanted = made_with(self.form_class)
        known = {**FORMS_KNOW, self.takes: FORMS_KNOW["row"]}
        found = {name: tell(self) for name, tell in known.items() if name in wanted}
        return {**found, "initial": initial} if initial else found

    def get_initial(self) -> dict[str, Any]:
        """Return what stands in the form when it is opened."""
        return dict.fromkeys(self.starts_today, self.today) if self.starts_today else {}

    def get_watched(self) -> Sequence[Model]:
        """Return the rows that the form was made from: changed meanwhile, it comes back."""
        return [self.row] if isinstance(self.row, Model) else []

    def get_heading(self) -> Text:
        """Return the words over the form."""
        return self.heading

    def get_button(self) -> Text:
        """Return the words on the button."""
        return self.button

    def get_lead(self) -> Text:
        """Return what stands over the form."""
        return self.lead

    def get_caution(self) -> Text:
        """Return what to beware of."""
        return self.caution

    def get_extra(self) -> dict[str, Any]:
        """Return what the page's own template shows besides."""
        return {}

    def elsewhere(self) -> str:
        """Return where to go instead, where there is nothing to do here."""
        return ""

    def get_verb(self) -> Callable[..., Any]:
        """Return the verb, where a page has several."""
        return type(self).verb

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        """Return what the verb is called with."""
        return self.named(self.get_verb(), data)

    def named(self, verb: Callable[..., Any], data: dict[str, Any]) -> dict[str, Any]:
        """Return the arguments of a verb, found by their names."""
        wanted = signature(verb).parameters
        form: Any = self.form
        if "values" not in wanted and hasattr(form, "values"):
            data = {**data, **form.values()}
        found: dict[str, Any] = {}
        for name in wanted:
            if name == self.takes:
                found[name] = self.row
            elif callable(getattr(form, name, None)) and not hasattr(forms.Form, name):
                found[name] = getattr(form, name)()
            elif name in data:
                found[name] = data[name]
            elif name in ALWAYS_KNOWN:
                found[name] = ALWAYS_KNOWN[name](self)
        return found

    def act(self, data: dict[str, Any]) -> Text:
        """Call the verb once and return the sentence of its success."""
        self.result = self.get_verb()(**self.arguments(data))
        return self.get_done()

    def get_done(self) -> Text:
        """Return the sentence of success; `self.result` is what the verb returned."""
        return self.done

    def get_after(self) -> str:
        """Return the address to go to after success."""
        return self.get_back()

    def get_undo(self) -> str:
        """Return the address of the page that takes this back; empty where none does."""
        view = type(self)
        # A page with several verbs may have none that is its own.
        has_one = hasattr(view, "verb") or view.get_verb is not VerbView.get_verb
        return undo_of(self.request, getattr(self.get_verb(), "verb", None) if has_one else None)

    # How it runs.

    @cached_property
    def row(self) -> Row:
        """The row that the address names."""
        return self.find()

    @cached_property
    def form(self) -> forms.BaseForm:
        """The form, filled with what was sent."""
        return self.get_form()

    @cached_property
    def today(self) -> date:
        """Today at the property, else where the viewer is."""
        place = self.get_place()
        return today_at(place) if place else timezone.localdate()

    @property
    def user(self) -> User:
        """The person who looks."""
        return self.request.user

    @property
    def may_do(self) -> Action:
        """The action that the person needs on the row."""
        return self.asked_action()

    @property
    def posted(self) -> QueryDict | None:
        """What was sent, an empty form too, or None where the page was only opened."""
        return self.request.POST if self.request.method == "POST" else None

    def fill(self, text: Text) -> str:
        """Return the text with a name in the place of `%s`.

        Only in a text that still waits for its language: a finished one may hold what was typed.
        """
        words = str(text)
        is_open = isinstance(text, Promise) and "%s" in words
        return words % (self.get_named(),) if is_open else words

    def get(self, request: HttpRequest, *_args: Any, **_kwargs: Any) -> HttpResponse:
        """Show the form."""
        del request
        if self.row is not None and (address := self.elsewhere()):
            return redirect(address)
        page = VerbPage(
            heading=self.fill(self.get_heading()),
            button=self.fill(self.get_button()),
            back=self.get_back(),
            watched=self.get_watched(),
            act=lambda data: self.fill(self.act(data)),
            crumbs=self.get_crumbs(),
            lead=self.fill(self.get_lead()),
            caution=self.fill(self.get_caution()),
            template=self.template_name,
            after=self.get_after,
            undo=self.get_undo,
            extra=self.get_extra(),
        )
        return verb_page(self.request, self.form, page)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Act, or show the form with what is wrong."""
        return self.get(request, *args, **kwargs)


def made_with(form_class: type[forms.BaseForm]) -> set[str]:
    """Return the names that a form, or one that it extends, is made with."""
    own = takewhile(lambda each: each not in (forms.Form, forms.ModelForm), form_class.__mro__)
    makers = (vars(each)["__init__"] for each in own if "__init__" in vars(each))
    return {name for maker in makers for name in signature(maker).parameters}


def page(route: str, view: type[VerbView[Any]], name: str = "") -> URLPattern:
    """Return the address of a declared page; its name is that of the class: `job_withdraw`."""
    snake = re.sub(r"(?<!^)(?=[A-Z])", "_", view.__name__).lower()
    if verb := getattr(getattr(view, "verb", None), "verb", None):
        note_page(verb, route, name or snake)
    return path(route, view.as_view(), name=name or snake)


# What a verb may ask for that no form needs to ask.
ALWAYS_KNOWN: dict[str, Callable[[VerbView[Any]], object]] = {
    "by": lambda view: view.user,
    "at": lambda _view: timezone.now(),
    "now": lambda _view: timezone.now(),
    "today": lambda view: view.today,
}
# What a form may ask for when it is made.
FORMS_KNOW: dict[str, Callable[[VerbView[Any]], object]] = {
    "row": lambda view: view.row,
    "place": lambda view: view.get_place(),
    "today": lambda view: view.today,
}
