"""The owner's reasoned word that one dig may go on against its notice, and its taking back."""

from functools import cached_property

from django.db.models import Model
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from faults.access import jobs_for
from faults.cases.views.common import crumbs_about
from faults.models import DigOverride as Override
from faults.models import Job
from faults.notices.forms.notices import OverrideForm
from faults.notices.services.book import planned_start
from faults.notices.services.gate import (
    UnableToOverride,
    judge_job,
    override_dig,
    standing_overrides,
    take_back_override,
)
from faults.notices.services.words import reasons_in_words
from sites.kernel.access import find
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import Property


class HeldDigView(VerbView[Job]):
    """A verb on the dig of a job; the page leads back to the job."""

    takes = "job"

    def find(self) -> Job:
        rows = jobs_for(self.user, self.may_do)
        rows = rows.select_related("property", "fault__property", "crew")
        return find(rows, ref=self.kwargs["ref"])

    def get_place(self) -> Property:
        return self.row.property

    def get_back(self) -> str:
        return reverse("faults:job", args=[self.row.ref])

    def get_crumbs(self) -> Crumbs:
        return crumbs_about(self.row.property, self.row.fault)


class DigOverride(HeldDigView):
    """Let a dig go on against its notice."""

    verb = override_dig
    form_class = OverrideForm
    heading, button = _("Let the dig go on: %s"), _("Let it go on")
    caution = _(
        "Lines that nobody marked can kill. A word here changes no law: where a notice is "
        "required, it stays required."
    )
    done = _("Kept. This dig may go on, on your word.")
    template_name = "faults/verbs/form.html"

    def get_lead(self) -> Text:
        judged = judge_job(job=self.row, at=planned_start(self.row, at=timezone.now()))
        return " ".join(reasons_in_words(judged)) or _("Nothing holds this dig back.")


class DigOverrideBack(HeldDigView):
    """Take the word back."""

    verb = take_back_override
    heading, button = _("Take the word back: %s"), _("Take it back")
    done = _("Taken back. The notice holds the dig back again.")

    @cached_property
    def held(self) -> Override | None:
        """The word that holds."""
        return standing_overrides([self.row.pk]).get(self.row.pk)

    def get_watched(self) -> list[Model]:
        return [self.row, self.held] if self.held else [self.row]

    def get_lead(self) -> Text:
        if self.held is None:
            return ""
        return _("%(who)s said: %(why)s") % {"who": self.held.by, "why": self.held.reason}

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        if self.held is None:
            raise UnableToOverride(str(_("No such word holds for this job.")))
        return {**super().arguments(data), "override": self.held}
