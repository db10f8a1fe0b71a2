"""Sets of closed days: one with its ticks, and the owner's verbs on it."""

from functools import cached_property

from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from faults.models import ClosedDay, ClosedDays
from faults.notices.forms.notice_rules import (
    WEEKDAYS,
    ChangeSetForm,
    DayOfSetForm,
    SetForm,
    TicksForm,
    YearsForm,
)
from faults.notices.queries import closed_day_sets, days_of
from faults.notices.services.closed import (
    add_day,
    add_years,
    change_closed_days,
    make_closed_days,
    tick_days,
)
from faults.notices.views.notice_rules import SetRuleView, rule_crumbs
from faults.notices.views.notices import CAUTION
from sites.kernel.access import SignedInRequest, find, may_everywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_views import Crumbs, Text


def _url(kept: ClosedDays) -> str:
    return reverse("faults:closed_days", args=[kept.ref])


@page_for(Action.GIVE_NOTICE)
def closed_days(request: SignedInRequest, ref: str) -> HttpResponse:
    """One set: which days count as closed."""
    kept = find(closed_day_sets(), ref=ref)
    names = dict(WEEKDAYS)
    context = {
        "kept": kept,
        "days": days_of(kept),
        "weekend": [names[each] for each in kept.weekend],
        "crumbs": rule_crumbs(),
        "caution": CAUTION,
        "may_set": may_everywhere(request.user, Action.SET_NOTICE_RULES),
    }
    return render(request, "faults/notices/closed_days.html", context)


class ClosedDaysAdd(SetRuleView[None]):
    """Make a set, seeded with holidays."""

    verb = make_closed_days
    form_class = SetForm
    heading, button = _("Make a set of closed days"), _("Make it")
    lead = _("Holidays come from a library; which of them the centre keeps, only it can say.")
    done = _("Kept. Now tick the days on which the centre is closed.")

    def find(self) -> None:
        return None

    def get_initial(self) -> dict[str, object]:
        return {"years": f"{self.today.year}, {self.today.year + 1}"}

    def get_back(self) -> str:
        return reverse("faults:notice_rules")

    def get_crumbs(self) -> Crumbs:
        return rule_crumbs()

    def get_after(self) -> str:
        return reverse("faults:closed_days_ticks", args=[self.result.ref])


class SetView(SetRuleView[ClosedDays]):
    """A verb on a set; the page leads back to the set."""

    takes = "kept"

    def find(self) -> ClosedDays:
        return find(closed_day_sets(), ref=self.kwargs["ref"])

    @cached_property
    def days(self) -> list[ClosedDay]:
        """The days of the set."""
        return days_of(self.row)

    def get_back(self) -> str:
        return _url(self.row)

    def get_crumbs(self) -> Crumbs:
        return [*rule_crumbs(), (_url(self.row), str(self.row))]


class ClosedDaysTicks(SetView):
    """Tick the days of a set."""

    verb = tick_days
    form_class = TicksForm
    heading = _("Closed days of %s")
    lead = _("Lists of holidays hold ceremonial days too. Tick the days the centre closes for.")

    def get_form_kwargs(self) -> dict[str, object]:
        return {"days": self.days}

    def get_watched(self) -> list[Model]:
        return [self.row, *self.days]

    def get_done(self) -> Text:
        return _("Kept.") if self.result else _("Nothing was different.")


class ClosedDaysChange(SetView):
    """Change the name of a set, or its weekend."""

    verb = change_closed_days
    form_class = ChangeSetForm
    heading = _("Change %s")

    def get_initial(self) -> dict[str, object]:
        return {"name": self.row.name, "weekend": list(self.row.weekend)}


class ClosedDaysYears(SetView):
    """Add years to a set."""

    verb = add_years
    form_class = YearsForm
    heading = _("Add years to %s")

    def get_initial(self) -> dict[str, object]:
        last = max((day.on.year for day in self.days), default=self.today.year - 1)
        return {"years": str(last + 1)}

    def get_done(self) -> Text:
        return str(_("%s days added. Tick those on which the centre is closed.") % self.result)


class ClosedDaysDay(SetView):
    """Add one day by hand."""

    verb = add_day
    form_class = DayOfSetForm
    heading = _("Add a day to %s")
    done = _("Kept, as a closed day.")
