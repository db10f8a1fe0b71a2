"""What the pages of hotspots ask for; all of it stands in the address."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.models import Cause
from reports.hotspots.services.past import Past, past_words
from reports.hotspots.services.renewal_costs import Costs
from reports.hotspots.services.scope import Family, Scope
from sites.models import Property

FAMILIES = [
    (Family.ALL.value, _("all causes")),
    (Family.GROUND.value, _("causes in the ground")),
    (Family.WIRE.value, _("causes in the wire")),
]
MANNERS = [("legs", _("legs")), ("properties", _("properties"))]
CAUSES = [choice for choice in Cause.choices if choice[0] != Cause.VALVE.value]


class Day(forms.DateInput):
    """A day as browsers ask for it."""

    def __init__(self) -> None:
        super().__init__(attrs={"type": "date"}, format="%Y-%m-%d")
        self.input_type = "date"


class ScopeForm(forms.Form):
    """Which property, days and causes are in view, and whether legs or properties are ranked."""

    place = forms.ChoiceField(label=_("Property"), required=False)
    first = forms.DateField(label=_("From"), required=False, widget=Day)
    last = forms.DateField(label=_("To"), required=False, widget=Day)
    causes = forms.ChoiceField(label=_("Causes"), choices=FAMILIES, required=False)
    by = forms.ChoiceField(label=_("Rank"), choices=MANNERS, required=False)
    against = forms.ChoiceField(label=_("Compare with"), required=False)

    def __init__(self, *args: Any, places: Sequence[Property], today: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.places = {place.ref: place for place in places}
        named = [(place.ref, place.code) for place in places]
        self._choices("place", [("", _("all")), *named])
        self._choices("against", [("", _("no other")), *named])

    def _choices(self, name: str, choices: list[tuple[str, object]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = choices

    def clean(self) -> dict[str, object]:
        """Refuse days in the wrong order, and days to come."""
        data: dict[str, Any] = super().clean() or {}
        first, last = data.get("first"), data.get("last")
        if first and first > self.today:
            self.add_error("first", _("This day has not come yet."))
        if first and last and last < first:
            self.add_error("last", _("This day lies before the first. Exchange the two."))
        return data

    def given(self, name: str) -> Any:
        """Return a field's cleaned value, or nothing where it is empty or not valid."""
        self.is_valid()
        return self.cleaned_data.get(name) or ""

    @property
    def chosen(self) -> Property | None:
        """The one property in view, or None for all."""
        return self.places.get(self.given("place"))

    @property
    def other(self) -> Property | None:
        """The property to compare with."""
        other = self.places.get(self.given("against"))
        return None if other == self.chosen else other

    @property
    def by_properties(self) -> bool:
        """Whether whole properties are ranked; one property is always ranked by legs."""
        return self.given("by") == "properties" and self.chosen is None

    @property
    def scope(self) -> Scope:
        """Days and causes; days to come are not observed."""
        last = min(self.given("last") or self.today, self.today)
        family = Family(self.given("causes") or Family.ALL.value)
        return Scope(last + timedelta(days=1), self.given("first") or None, family)


class WorthForm(forms.Form):
    """What repairing and renewing a leg cost. Money is in the property's own currency."""

    fault_cost = forms.FloatField(
        label=_("Cost of one fault"),
        min_value=1,
        required=False,
        help_text=_("Search, dig, mend, visits, and what the stopgap costs until then."),
    )
    per_foot = forms.FloatField(label=_("Renewal, per foot"), min_value=0, required=False)
    fixed = forms.FloatField(label=_("Renewal, besides"), min_value=0, required=False)
    years = forms.FloatField(label=_("Years looked ahead"), min_value=1, max_value=60)
    interest_percent = forms.FloatField(
        label=_("Interest above inflation, percent"), min_value=0, max_value=30
    )
    kept_percent = forms.FloatField(
        label=_("Faults of a renewed leg, in percent of an ordinary one"),
        min_value=0,
        max_value=200,
    )

    COSTS = ("fault_cost", "per_foot", "fixed")

    def __init__(
        self,
        *args: Any,
        labour: str = "",
        is_kept: bool = False,
        past: Past | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.is_kept, self.past = is_kept, past
        field = self.fields["fault_cost"]
        if past is not None:
            field.help_text = _("Empty: what your own faults cost. %s") % past_words(past)
        else:
            field.help_text = f"{field.help_text} {labour}".strip()
        if is_kept:
            for name in ("per_foot", "fixed"):
                self.fields[name].help_text = _("Empty: what is kept.")

    def clean(self) -> dict[str, object]:
        """Ask for all costs, once one is given.

        That of a fault may be the company's own past, those of renewing the kept ones.
        """
        data: dict[str, object] = super().clean() or {}
        if self.past is not None and "fault_cost" not in self.errors and not data["fault_cost"]:
            data["fault_cost"] = float(round(self.past.mean))
        missing = [name for name in self.COSTS if name not in self.errors and data[name] is None]
        given = [name for name in self.COSTS if name not in missing and self.data.get(name)]
        if self.is_kept and "per_foot" in missing and "fixed" in missing:
            missing = []
        if given:
            for name in missing:
                self.add_error(name, _("Put this in too: without it the two ways have no price."))
        return data

    def typed(self) -> Costs | None:
        """Return what was typed of renewing; None where it was left empty."""
        data = self.cleaned_data if self.is_valid() else {}
        if data.get("per_foot") is None or data.get("fixed") is None:
            return None
        return Costs(data["per_foot"], None, data["fixed"])

    @property
    def has_costs(self) -> bool:
        """Whether the company's own costs are there."""
        if not self.is_valid() or self.cleaned_data["fault_cost"] is None:
            return False
        return self.is_kept or self.typed() is not None
