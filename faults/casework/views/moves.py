"""Move stations of a fault to another stage: one page, whose form depends on the stage."""

from collections.abc import Sequence
from typing import Any

from django.http import Http404, HttpResponse
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.access import faults_for, roles_on
from faults.cases.engines.stages import Stage, needs_a_reason, next_moves
from faults.cases.queries import stations_of
from faults.cases.services.before_mend import limits_in_words, standing_on
from faults.cases.services.moves import STAGE_WORDS
from faults.cases.services.proof_asks import notes_on
from faults.cases.views.common import crumbs_of, fault_url, posted, today_at
from faults.models import Fault, FaultStation
from faults.work.forms.move_form import MoveForm, ScheduleForm
from faults.work.forms.moves import MOVE_FORMS
from faults.work.services.visits import take_step, waiting_jobs
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page

STAGE_BY_SLUG = {slugify(stage.value): stage for stage in Stage}

# What the button says, by the stage that it leads to.
STEP_WORDS = {
    Stage.REPORTED: gettext_lazy("Back to reported"),
    Stage.SCHEDULED: gettext_lazy("Schedule a visit"),
    Stage.FOUND: gettext_lazy("Say what was found"),
    Stage.AGREED: gettext_lazy("Enter the yes"),
    Stage.MENDED: gettext_lazy("Say how it was mended"),
    Stage.PROVEN: gettext_lazy("Prove it"),
    Stage.RETURNED: gettext_lazy("Return to central"),
    Stage.GIVEN_UP: gettext_lazy("Give up"),
    Stage.WITHDRAWN: gettext_lazy("Withdraw"),
}
BACK_WORDS = {
    Stage.REPORTED: gettext_lazy("Back to reported"),
    Stage.SCHEDULED: gettext_lazy("Back to scheduled"),
    Stage.FOUND: gettext_lazy("Back to found"),
}
CAUTIONS = {
    Stage.AGREED: gettext_lazy(
        "Before anybody digs: have underground utilities marked, and keep to local codes."
    ),
    Stage.PROVEN: gettext_lazy(
        "Measure on the 24 V side only. The mains side of the controller is for licensed people."
    ),
}


@page_for(Action.MOVE_FAULT)
def move(request: SignedInRequest, ref: str, to: str) -> HttpResponse:
    """Move some or all stations of a fault to the stage in the address."""
    faults = faults_for(request.user, Action.MOVE_FAULT)
    fault = find(faults.select_related("property"), ref=ref)
    if to not in STAGE_BY_SLUG:
        raise Http404
    stage = STAGE_BY_SLUG[to]
    form = _form(request, fault, stage)

    def act(data: dict[str, Any]) -> str:
        rows = form.moving()
        take_step(
            fault=fault,
            stations=rows,
            to=stage,
            on=data["on"],
            by=request.user,
            at=timezone.now(),
            today=today_at(fault.property),
            why=data["why"],
            told=form.told(),
        )
        names = ", ".join(str(row.station) for row in rows)
        return _("%(stations)s: now %(stage)s.") % {
            "stations": names,
            "stage": STAGE_WORDS[stage.value],
        }

    return verb_page(request, form, _page(fault, stage, form, act))


def _page(fault: Fault, stage: Stage, form: MoveForm, act: Any) -> VerbPage:
    words = BACK_WORDS.get(stage) if type(form) is MoveForm else None
    step = words or STEP_WORDS[stage]
    return VerbPage(
        heading=f"{fault}: {step}",
        button=str(step),
        back=fault_url(fault),
        watched=[fault, *form.rows],
        act=act,
        crumbs=crumbs_of(fault),
        lead=_lead(fault, stage, form),
        caution=str(CAUTIONS.get(stage, "")),
        template="faults/verbs/form.html",
    )


def _form(request: SignedInRequest, fault: Fault, stage: Stage) -> MoveForm:
    """Offer the stations that this user may move there, all onward or all with a reason."""
    ways = _ways(request, fault, stage)
    named = request.GET.get("station", "")
    chosen = [row for row in [*ways[False], *ways[True]] if row.station.ref == named]
    is_back = chosen[0] in ways[True] if chosen else not ways[False]
    form_class = MoveForm if is_back else MOVE_FORMS.get(stage, MoveForm)
    return form_class(
        posted(request),
        fault=fault,
        rows=ways[is_back],
        chosen=chosen,
        today=today_at(fault.property),
        is_back=is_back,
    )


def _ways(request: SignedInRequest, fault: Fault, stage: Stage) -> dict[bool, list[FaultStation]]:
    roles = roles_on(request.user, fault.property)
    ways: dict[bool, list[FaultStation]] = {False: [], True: []}
    for row in stations_of(fault):
        for step in next_moves(Stage(row.stage), roles):
            if step.end is stage:
                ways[needs_a_reason(step)].append(row)
    return ways


def _lead(fault: Fault, stage: Stage, form: MoveForm) -> str:
    if not form.rows:
        return _(
            "No station of this fault can take this step now, or your role may not make it. The "
            "fault's page lists what each can do next."
        )
    if stage is Stage.SCHEDULED and isinstance(form, ScheduleForm):
        return _planned_words(fault, form)
    if stage is Stage.PROVEN:
        return " ".join(notes_on(form.rows))
    if stage is Stage.AGREED:
        return _standing_words(fault, form)
    if stage is Stage.FOUND and fault.is_outside_the_wire():
        return _("The cause lies outside the wire: %s.") % fault.get_cause_side_display()
    if stage is Stage.FOUND and not fault.breaks.exists():
        return _("A break of the wire is recorded on a page of its own; this one is for the rest.")
    return ""


def _planned_words(fault: Fault, form: ScheduleForm) -> str:
    waiting = waiting_jobs(fault, form.rows) if form.crews else []
    if len(waiting) != 1:
        return ""
    words = _("The job that is planned already, for %s minutes, is sent: no second one is made.")
    return words % waiting[0].expected_minutes


def _standing_words(fault: Fault, form: MoveForm) -> str:
    standing = standing_on(fault.property, today_at(fault.property))
    if not standing:
        return _("No standing authority holds here today.")
    limits: Sequence[str] = [limits_in_words(one) for one in standing]
    return _("Standing authority: %s.") % "; ".join(limits)
