"""Give a fault to a technician or tracer, and take it back."""

from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.assign import AssignForm, EndAssignmentForm
from faults.cases.services.assign import assign_fault, end_assignment
from faults.cases.views.common import FaultView
from sites.kernel.views.verb_views import Text


class Assign(FaultView):
    """Assign a fault to a person."""

    verb = assign_fault
    form_class = AssignForm
    heading, button = _("Assign %s"), _("Assign it")
    lead = _("A subcontracted tracer sees only the faults that are assigned.")

    def get_done(self) -> Text:
        words = {"fault": self.row, "who": self.result.user}
        return _("%(fault)s is assigned to %(who)s.") % words


class Unassign(FaultView):
    """End an assignment of a fault."""

    verb = end_assignment
    heading, button = _("End an assignment of %s"), _("End it")

    @cached_property
    def form(self) -> EndAssignmentForm:
        return EndAssignmentForm(self.posted, fault=self.row, today=self.today)

    def get_lead(self) -> Text:
        return "" if self.form.held else _("Nobody is assigned to this fault.")

    def get_done(self) -> Text:
        return str(_("%s is no longer assigned.") % self.form.cleaned_data["assignment"].user)
