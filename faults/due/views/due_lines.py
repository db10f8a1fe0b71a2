"""The pages on which people handle one line of what is due."""

from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from faults.due.forms import FinishForm, HandOverForm, MoveFollowUpForm
from faults.due.queries import handled_by
from faults.due.services.by_hand import (
    finish_follow_up,
    hand_over,
    move_follow_up,
    put_back_on_its_day,
    reopen_follow_up,
)
from faults.due.services.words import sentence
from faults.models import FollowUp
from sites.kernel.access import find
from sites.kernel.engines.roles import Action
from sites.kernel.views.many import came_from
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import Property


class _LineView(VerbView[FollowUp]):
    """A verb on a line; the page leads back to the list, as the person left it."""

    takes = "follow_up"
    action = Action.HANDLE_FOLLOW_UPS
    template_name = "faults/due/verb.html"

    def find(self) -> FollowUp:
        return find(handled_by(self.user), ref=self.kwargs["ref"])

    def get_place(self) -> Property:
        return self.row.property

    def get_heading(self) -> Text:
        return f"{self.row.property.code}: {sentence(self.row)}"

    def get_back(self) -> str:
        return came_from(self.request, reverse("faults:due"))

    def get_crumbs(self) -> Crumbs:
        return [(reverse("faults:due"), _("Due"))]

    def get_extra(self) -> dict[str, object]:
        return {"came_from": self.get_back()}


class DueFinish(_LineView):
    """Tick a line as done: at one tap, or with a note."""

    verb = finish_follow_up
    form_class = FinishForm
    button = _("Done")

    def get_done(self) -> Text:
        return _("Done: %s.") % sentence(self.row)


class DueMove(_LineView):
    """Move a line to another day."""

    verb = move_follow_up
    form_class = MoveFollowUpForm
    button = _("Move it")

    def get_lead(self) -> Text:
        return _("Due on %s.") % self.row.due_on.isoformat()

    def get_done(self) -> Text:
        return str(_("Moved to %s.") % self.form.cleaned_data["to"].isoformat())


class DueMoveBack(_LineView):
    """Take a move back."""

    verb = put_back_on_its_day
    button = _("Put it back")
    lead = _("It is due again on the day on which it was before it was moved.")

    def get_done(self) -> Text:
        return str(_("Due on %s again.") % self.row.due_on.isoformat())


class DueHandOver(_LineView):
    """Assign a line to a person."""

    verb = hand_over
    form_class = HandOverForm
    button = _("Hand it over")

    def get_done(self) -> Text:
        who = self.form.cleaned_data["to"] or _("nobody in particular")
        return _("It is with %s now.") % str(who)


class DueReopen(_LineView):
    """Take a tick back."""

    verb = reopen_follow_up
    button = _("Open it again")

    def get_done(self) -> Text:
        return _("Open again: %s.") % sentence(self.row)
