"""What a list declares for its ticked rows: acts by the verbs of their own pages, and looks."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.urls import reverse
from django.utils.http import urlencode

from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_views import Text, VerbView
from sites.models import User


@dataclass(frozen=True)
class Act:
    """What may be done to ticked rows.

    Args:
        page: the page of the verb on one row.
        button: the words on the bar; a form that asks opens first.
        heading: what is done to so many rows, over that form.
        said: the sentence for so many that were done.
        undo: calls the verb that takes it back: the row, what was kept of it, and who takes back.
        keep: what the undo has to know, read before the act; `made` adds what came of it, from
            the page whose `result` is what the verb returned.
        form_class: what is asked once for all, where the page of one row asks otherwise; it is
            made with `rows` and `today`.
    """

    page: type[VerbView[Any]]
    button: Text
    heading: Callable[[int], str]
    said: Callable[[int], str]
    undo: Callable[[Any, dict[str, Any], User], object]
    keep: Callable[[Any], dict[str, Any]] = lambda _row: {}
    made: Callable[[VerbView[Any]], dict[str, Any]] = lambda _page: {}
    form_class: type[forms.Form] | None = None

    @property
    def action(self) -> Action:
        """What the user needs on each row."""
        return self.page.asked_action()

    @property
    def asks(self) -> bool:
        """Whether something has to be filled in first."""
        return self.form_class is not None


@dataclass(frozen=True)
class Look:
    """What is made of ticked rows and changes nothing: a file, sheets to print.

    Args:
        button: the words on the bar.
        address: the name of the page that shows the rows of its `?rows=`; it asks for its own
            rights.
        further: what else the address carries.
    """

    button: Text
    address: str
    further: Mapping[str, str] = field(default_factory=dict)

    def url(self, refs: Sequence[str]) -> str:
        """Return where it is shown."""
        return f"{reverse(self.address)}?{urlencode({'rows': ' '.join(refs), **self.further})}"
