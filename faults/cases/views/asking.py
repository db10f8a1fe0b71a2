"""Ask the client about a fault, enter the answer, put it right; ask central to enable."""

from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from faults.access import asked_for, faults_for
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
from faults.cases.views.common import crumbs_of, fault_url, posted, today_at
from faults.models import Asked, ClientAnswer, Fault
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page


def _fault(request: SignedInRequest, ref: str, action: Action) -> Fault:
    return find(faults_for(request.user, action).select_related("property"), ref=ref)


def _question(request: SignedInRequest, pk: int) -> Asked:
    return find(asked_for(request.user).select_related("fault__property"), pk=pk)


def _page(fault: Fault, heading: str, button: str, act: Any, **given: Any) -> VerbPage:
    fixed: dict[str, Any] = {"back": fault_url(fault), "crumbs": crumbs_of(fault)}
    return VerbPage(heading=heading, button=button, act=act, **{**fixed, **given})


@page_for(Action.ASK_CLIENT)
def ask(request: SignedInRequest, ref: str) -> HttpResponse:
    """Record that the client was asked."""
    fault = _fault(request, ref, Action.ASK_CLIENT)
    place, today = fault.property, today_at(fault.property)
    approvers = approvers_of(place)
    initial = {"asked_on": today, "asked_of": approvers[0].name if approvers else ""}
    form = AskForm(posted(request), initial=initial)

    def act(_data: dict[str, Any]) -> str:
        ask_client(fault=fault, question=form.question(), by=request.user, today=today)
        return _("Kept. The fault now waits on the client's answer.")

    standing = [limits_in_words(one) for one in standing_on(place, today)]
    words = _("Without asking, the client allows: %s.") % "; ".join(standing) if standing else ""
    page = _page(
        fault,
        _("%s: ask the client") % fault,
        _("Keep this question"),
        act,
        watched=[fault],
        lead=words or _("No standing authority holds here today."),
    )
    return verb_page(request, form, page)


@page_for(Action.ASK_CLIENT)
def answer(request: SignedInRequest, pk: int) -> HttpResponse:
    """Enter the client's yes or no; a yes leads on to the move to agreed."""
    asked = _question(request, pk)
    fault, today = asked.fault, today_at(asked.fault.property)
    form = AnswerForm(posted(request), initial={"answered_on": today, "notes": asked.notes})
    onward = reverse("faults:move", args=[fault.ref, Stage.AGREED.value])

    def act(data: dict[str, Any]) -> str:
        enter_answer(
            asked=asked,
            answer=data["answer"],
            on=data["answered_on"],
            notes=data["notes"],
            today=today,
        )
        if data["answer"] == ClientAnswer.YES:
            return _("The client said yes. Now move the stations on; the yes is filled in.")
        return _("The client said no. Look for another way, or ask again.")

    def after() -> str:
        is_yes = asked.answer == ClientAnswer.YES
        return onward if is_yes and fault.stage == Stage.FOUND else fault_url(fault)

    words = {"who": asked.asked_of, "day": asked.asked_on.isoformat(), "what": asked.what}
    page = _page(
        fault,
        _("%s: the client's answer") % fault,
        _("Keep this answer"),
        act,
        watched=[asked],
        lead=_("%(who)s was asked on %(day)s: %(what)s") % words,
        after=after,
    )
    return verb_page(request, form, page)


@page_for(Action.ASK_CLIENT)
def question_correct(request: SignedInRequest, pk: int) -> HttpResponse:
    """Correct what was asked or answered."""
    asked = _question(request, pk)
    form = CorrectAskedForm(posted(request), asked=asked)

    def act(data: dict[str, Any]) -> str:
        today = today_at(asked.fault.property)
        correct_question(asked=asked, values=form.values(), why=data["why"], today=today)
        return _("Put right. The old values stay in the history.")

    heading = _("%s: put the question right") % asked.fault
    page = _page(asked.fault, heading, _("Keep this"), act, watched=[asked])
    return verb_page(request, form, page)


@page_for(Action.MOVE_FAULT)
def enable_asked(request: SignedInRequest, ref: str) -> HttpResponse:
    """Note that central's operator was asked to enable proven stations."""
    fault = _fault(request, ref, Action.MOVE_FAULT)
    rows, today = proven_rows(fault), today_at(fault.property)
    form = EnableAskedForm(posted(request), rows=rows, initial={"on": today})

    def act(data: dict[str, Any]) -> str:
        if data.get("takes_back"):
            take_back_enable_asked(rows=form.chosen())
            return _("Taken back.")
        note_enable_asked(rows=form.chosen(), on=data["on"], today=today)
        return _("Kept. These stations now wait on central's operator.")

    lead = "" if rows else _("No station of this fault is proven. Prove the mend first.")
    page = _page(
        fault,
        _("%s: central was asked to enable") % fault,
        _("Keep this"),
        act,
        watched=[fault, *rows],
        lead=lead,
        template="faults/verbs/form.html",
    )
    return verb_page(request, form, page)
