"""Ask the client about a fault, enter the answer, put it right; ask central to enable."""

from collections.abc import Callable
from functools import cached_property
from typing import Any

from django.db.models import Model
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from faults.access import asked_for
from faults.cases.engines.stages import Stage
from faults.cases.forms.asking import AnswerForm, AskForm, CorrectAskedForm, EnableAskedForm
from faults.cases.queries import approvers_of, proven_rows
from faults.cases.services.asking import (
    ask_client,
    correct_question,
    enter_answer,
    note_enable_asked,
    take_back_enable_asked,
)
from faults.cases.services.before_mend import limits_in_words, standing_on
from faults.cases.views.common import FaultView, OfFaultView
from faults.models import Asked, ClientAnswer, Fault, FaultStation
from sites.kernel.access import find
from sites.kernel.views.verb_views import Text


class Ask(FaultView):
    """Record that the client was asked."""

    verb = ask_client
    form_class = AskForm
    heading, button = _("%s: ask the client"), _("Keep this question")
    done = _("Kept. The fault now waits on the client's answer.")

    def get_initial(self) -> dict[str, object]:
        approvers = approvers_of(self.row.property)
        return {"asked_on": self.today, "asked_of": approvers[0].name if approvers else ""}

    def get_lead(self) -> Text:
        standing = standing_on(self.row.property, self.today)
        if not standing:
            return _("No standing authority holds here today.")
        limits = "; ".join(limits_in_words(one) for one in standing)
        return str(_("Without asking, the client allows: %s.") % limits)


class QuestionView(OfFaultView[Asked]):
    """A verb on a question; the page leads back to its fault."""

    takes = "asked"

    @property
    def fault(self) -> Fault:
        """The fault that the client was asked about."""
        return self.row.fault

    def find(self) -> Asked:
        rows = asked_for(self.user, self.may_do).select_related("fault__property")
        return find(rows, pk=self.kwargs["pk"])


class Answer(QuestionView):
    """Enter the client's yes or no; a yes leads on to the move to agreed."""

    verb = enter_answer
    form_class = AnswerForm
    heading, button = _("%s: the client's answer"), _("Keep this answer")

    def get_initial(self) -> dict[str, object]:
        return {"answered_on": self.today, "notes": self.row.notes}

    def get_lead(self) -> Text:
        row = self.row
        words = {"who": row.asked_of, "day": row.asked_on.isoformat(), "what": row.what}
        return _("%(who)s was asked on %(day)s: %(what)s") % words

    def get_done(self) -> Text:
        if self.row.answer == ClientAnswer.YES:
            return _("The client said yes. Now move the stations on; the yes is filled in.")
        return _("The client said no. Look for another way, or ask again.")

    def get_after(self) -> str:
        is_yes = self.row.answer == ClientAnswer.YES
        if is_yes and self.fault.stage == Stage.FOUND:
            return reverse("faults:move", args=[self.fault.ref, Stage.AGREED.value])
        return self.get_back()


class QuestionCorrect(QuestionView):
    """Correct what was asked or answered."""

    verb = correct_question
    form_class = CorrectAskedForm
    heading = _("%s: put the question right")
    done = _("Put right. The old values stay in the history.")


class EnableAsked(FaultView):
    """Note that central's operator was asked to enable proven stations."""

    verb = note_enable_asked
    form_class = EnableAskedForm
    starts_today = ("on",)
    heading = _("%s: central was asked to enable")
    template_name = "faults/verbs/form.html"

    @cached_property
    def rows(self) -> list[FaultStation]:
        """The proven stations of the fault."""
        return proven_rows(self.row)

    @property
    def takes_back(self) -> bool:
        """Whether the note is taken back."""
        return bool(self.form.cleaned_data.get("takes_back"))

    def get_form_kwargs(self) -> dict[str, object]:
        return {**super().get_form_kwargs(), "rows": self.rows}

    def get_watched(self) -> list[Model]:
        return [self.row, *self.rows]

    def get_lead(self) -> Text:
        if self.rows:
            return ""
        return _("No station of this fault is proven. Prove the mend first.")

    def get_verb(self) -> Callable[..., Any]:
        return take_back_enable_asked if self.takes_back else note_enable_asked

    def get_done(self) -> Text:
        if self.takes_back:
            return _("Taken back.")
        return _("Kept. These stations now wait on central's operator.")
