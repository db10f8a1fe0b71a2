"""Move stations of a fault to another stage: one page, whose form depends on the stage."""

from collections.abc import Sequence

from django.db.models import Model
from django.http import Http404
from django.utils.functional import cached_property
from django.utils.text import slugify
from django.utils.translation import gettext_lazy as _

from faults.access import roles_on
from faults.cases.engines.stages import Stage, needs_a_reason, next_moves
from faults.cases.queries import stations_of
from faults.cases.services.before_mend import limits_in_words, standing_on
from faults.cases.services.moves import STAGE_WORDS
from faults.cases.services.proof_asks import notes_on
from faults.cases.views.common import FaultView
from faults.models import Fault, FaultStation
from faults.work.forms.move_form import MoveForm, ScheduleForm
from faults.work.forms.moves import MOVE_FORMS
from faults.work.services.visits import take_step, waiting_jobs
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_views import Text
from sites.models import User, today_at

STAGE_BY_SLUG = {slugify(stage.value): stage for stage in Stage}

# What the button says, by the stage that it leads to.
STEP_WORDS = {
    Stage.REPORTED: _("Back to reported"),
    Stage.SCHEDULED: _("Schedule a visit"),
    Stage.FOUND: _("Say what was found"),
    Stage.AGREED: _("Enter the yes"),
    Stage.MENDED: _("Say how it was mended"),
    Stage.PROVEN: _("Prove it"),
    Stage.RETURNED: _("Return to central"),
    Stage.GIVEN_UP: _("Give up"),
    Stage.WITHDRAWN: _("Withdraw"),
}
BACK_WORDS = {
    Stage.REPORTED: _("Back to reported"),
    Stage.SCHEDULED: _("Back to scheduled"),
    Stage.FOUND: _("Back to found"),
}
CAUTIONS = {
    Stage.AGREED: _(
        "Before anybody digs: have underground utilities marked, and keep to local codes."
    ),
    Stage.PROVEN: _(
        "Measure on the 24 V side only. The mains side of the controller is for licensed people."
    ),
}


class Move(FaultView):
    """Move some or all stations of a fault to the stage in the address."""

    verb = take_step
    action = Action.MOVE_FAULT
    template_name = "faults/verbs/form.html"

    def find(self) -> Fault:
        fault = super().find()
        if self.kwargs["to"] not in STAGE_BY_SLUG:
            raise Http404
        return fault

    @property
    def stage(self) -> Stage:
        """The stage that the address names."""
        return STAGE_BY_SLUG[self.kwargs["to"]]

    @cached_property
    def form(self) -> MoveForm:
        """The stations that this user may move there, all onward or all with a reason."""
        ways = _ways(self.user, self.row, self.stage)
        named = self.request.GET.get("station", "")
        chosen = [row for row in [*ways[False], *ways[True]] if row.station.ref == named]
        is_back = chosen[0] in ways[True] if chosen else not ways[False]
        form_class = MoveForm if is_back else MOVE_FORMS.get(self.stage, MoveForm)
        return form_class(
            self.posted,
            fault=self.row,
            rows=ways[is_back],
            chosen=chosen,
            today=self.today,
            is_back=is_back,
        )

    def get_watched(self) -> list[Model]:
        return [self.row, *self.form.rows]

    def get_heading(self) -> Text:
        return f"{self.row}: {self.get_button()}"

    def get_button(self) -> Text:
        words = BACK_WORDS.get(self.stage) if type(self.form) is MoveForm else None
        return words or STEP_WORDS[self.stage]

    def get_lead(self) -> Text:
        return _lead(self.row, self.stage, self.form)

    def get_caution(self) -> Text:
        return CAUTIONS.get(self.stage, "")

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        return {**super().arguments(data), "to": self.stage}

    def get_done(self) -> Text:
        names = ", ".join(str(row.station) for row in self.form.cleaned_data["stations"])
        words = {"stations": names, "stage": STAGE_WORDS[self.stage.value]}
        return _("%(stations)s: now %(stage)s.") % words


def _ways(user: User, fault: Fault, stage: Stage) -> dict[bool, list[FaultStation]]:
    roles = roles_on(user, fault.property)
    ways: dict[bool, list[FaultStation]] = {False: [], True: []}
    for row in stations_of(fault):
        for step in next_moves(Stage(row.stage), roles):
            if step.end is stage:
                ways[needs_a_reason(step)].append(row)
    return ways


def _lead(fault: Fault, stage: Stage, form: MoveForm) -> Text:
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


def _planned_words(fault: Fault, form: ScheduleForm) -> Text:
    waiting = waiting_jobs(fault, form.rows) if form.crews else []
    if len(waiting) != 1:
        return ""
    words = _("The job that is planned already, for %s minutes, is sent: no second one is made.")
    return words % waiting[0].expected_minutes


def _standing_words(fault: Fault, form: MoveForm) -> Text:
    standing = standing_on(fault.property, today_at(fault.property))
    if not standing:
        return _("No standing authority holds here today.")
    limits: Sequence[str] = [limits_in_words(one) for one in standing]
    return _("Standing authority: %s.") % "; ".join(limits)
