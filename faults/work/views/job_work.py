"""The visit itself: start, finish, hold, what is on the vehicle, what a dig must think of."""

from datetime import datetime
from typing import Any

from django.utils import timezone
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from faults.models import Job
from faults.work.forms.job_lines import SafetyForm
from faults.work.forms.jobs import FinishForm, HoldForm, VehicleForm, WhyForm
from faults.work.queries.jobs import answers_of_job
from faults.work.services import (
    finish_job,
    hold_job,
    load_vehicle,
    release_job,
    reopen_job,
    start_job,
    take_back_start,
)
from faults.work.services.doing import short_of_skill
from faults.work.services.safety import answer_safety, hand_dug_of, prompt_lines
from faults.work.views.job_common import JobView
from sites.kernel.views.verb_views import Text


def local_law() -> Text:
    """Return the sentence that stands beside every rule of ours."""
    return _(
        "Prompts, not legal advice: local codes and licensed practice decide. Before anybody digs, "
        "have underground utilities marked (call 811 in the US)."
    )


class JobStart(JobView):
    """Begin the visit."""

    verb = start_job
    heading, button = _("Start this job?"), _("Start it")
    done = _("Started.")

    def get_lead(self) -> Text:
        return short_of_skill(self.row, self.today)

    def get_caution(self) -> Text:
        return local_law() if self.row.digs() else ""


class JobStartBack(JobView):
    """Say that nobody has started after all."""

    verb = take_back_start
    heading, button = _("Not started after all?"), _("It was not started")
    done = _("The job is planned again, as before.")


class JobFinish(JobView):
    """End the visit with the minutes that it took."""

    verb = finish_job
    heading, button = _("Finish this job"), _("It is done")
    form_class = FinishForm

    def get_form_kwargs(self) -> dict[str, object]:
        return {"minutes": _minutes(self.row, timezone.now())}

    def get_done(self) -> Text:
        words = _("Done in %s minutes. Take its time, parts and photos down below.")
        return words % self.row.actual_minutes


def _minutes(job: Job, now: datetime) -> int:
    """Propose the time since the start, or what was expected where a day or more went by."""
    if job.started_at is None:
        return job.expected_minutes
    passed = round((now - job.started_at).total_seconds() / 60)
    return passed if 0 < passed < 12 * 60 else job.expected_minutes


class JobReopen(JobView):
    """Put a job that was finished by mistake back under way."""

    verb = reopen_job
    form_class = WhyForm
    heading, button = _("Reopen this job"), _("Reopen it")
    done = _("The job is under way again.")


class JobHold(JobView):
    """Say whom or what the job waits for."""

    verb = hold_job
    form_class = HoldForm
    heading, button = _("Hold this job"), _("Hold it")

    def get_done(self) -> Text:
        return _("Held for %s.") % str(self.row.get_held_for_display())


class JobRelease(JobView):
    """Release a held job."""

    verb = release_job
    heading, button = _("Release this job?"), _("Release it")
    done = _("The job is no longer held.")


class JobVehicle(JobView):
    """Say whether parts and batteries are on the vehicle."""

    verb = load_vehicle
    form_class = VehicleForm
    heading, button = _("What is on the vehicle?"), _("Note it")
    done = _("Noted.")

    def get_initial(self) -> dict[str, object]:
        return {name: getattr(self.row, name) for name in VehicleForm.base_fields}

    def get_lead(self) -> Text:
        parts = self.row.parts_needed
        return _("Parts needed: %s") % parts if parts else ""


class JobSafety(JobView):
    """How deep, what is around it, and the answers that this depth asks for."""

    verb = answer_safety
    form_class = SafetyForm
    heading = _("Before the hole is dug")
    done = _("Kept. If the depth changed, look at the prompts again.")
    template_name = "faults/jobs/safety.html"

    @cached_property
    def lines(self) -> list[Any]:
        """The prompts with their answers."""
        return prompt_lines(self.row, answers_of_job(self.row))

    def get_lead(self) -> Text:
        return "" if self.lines else _("Say how deep it will be: the prompts follow from that.")

    def get_caution(self) -> Text:
        return f"{hand_dug_of(self.row, at=timezone.now())} {local_law()}"

    def get_extra(self) -> dict[str, object]:
        return {"rules": self.lines}
