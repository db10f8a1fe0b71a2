"""The word of somebody with the right that a job may start beyond the client's limit."""

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from faults.work.forms.limits import BeyondForm
from faults.work.services.limits import beyond_the_limit, let_start_beyond, take_back_beyond
from faults.work.views.job_common import JobView
from sites.kernel.views.verb_views import Text


class JobBeyondLimit(JobView):
    """Let a job start although its limit is used up."""

    verb = let_start_beyond
    form_class = BeyondForm
    heading, button = _("Let this job start beyond the limit"), _("Let it start")
    done = _("Kept. This job may start, on your word.")

    def get_lead(self) -> Text:
        over = beyond_the_limit(self.row, timezone.now())
        return over or _("Its limit is not used up: it may start as it is planned.")

    def get_caution(self) -> Text:
        return _("What goes beyond the limit may not be paid. Ask the client first, if you can.")


class JobBeyondLimitBack(JobView):
    """Take the word back."""

    verb = take_back_beyond
    heading, button = _("Take the word back?"), _("Take it back")
    done = _("Taken back. The limit holds the job back again.")
