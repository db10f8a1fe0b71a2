"""The rules of what falls due."""

from collections.abc import Sequence
from functools import cached_property

from django.db.models import Model
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from faults.due.forms import RulesForm
from faults.due.services.battery_words import battery_words
from faults.due.services.rules import kept_rules, rules_now, set_rule
from faults.due.services.stopgaps import fits_by_kind
from faults.models import FollowUpKind
from sites.kernel.views.verb_views import Crumbs, Text, VerbView


class FollowUpRules(VerbView[None]):
    """Show and set every rule at once."""

    verb = set_rule
    heading, button = _("Rules of what falls due"), _("Keep")
    lead = _("Each rule raises a line under Due by itself, once, and lets it go when it lapses.")
    done = _("Kept. Days that nobody moved by hand follow within a quarter of an hour.")
    template_name = "faults/due/rules.html"

    def find(self) -> None:
        """Rules are for all properties: there is no row to find."""

    @cached_property
    def form(self) -> RulesForm:
        return RulesForm(self.posted, rules=rules_now())

    def get_extra(self) -> dict[str, object]:
        days = rules_now()[FollowUpKind.BATTERY].days
        fits = fits_by_kind(days)
        return {
            "fits": sorted(fits.kinds.items()),
            "battery_days": days,
            "effects": battery_words(fits),
        }

    def get_watched(self) -> Sequence[Model]:
        return kept_rules()

    def get_back(self) -> str:
        return reverse("faults:follow_up_rules")

    def get_crumbs(self) -> Crumbs:
        return [(reverse("faults:due"), _("Due"))]

    def act(self, data: dict[str, object]) -> Text:
        for kind, is_on, days in self.form.wanted():
            set_rule(kind=kind, is_on=is_on, days=days)
        return self.done
