"""What renewing and mending cost, and what is decided on a leg."""

from typing import Any

from django import forms
from django.utils.http import urlencode
from django.utils.translation import gettext_lazy as _

from reports.decisions.services.weighing import Assumed
from reports.hotspots.services.past import Past, errors_of, past_words
from reports.hotspots.services.renewal_costs import Costs, kept_costs
from reports.hotspots.services.replacing import DEFAULTS
from reports.models import Choice
from sites.kernel.forms.place_or_all import PlaceOrAllForm
from sites.models import Property


def _money(label: Any, **given: Any) -> forms.DecimalField:
    """Ask for an amount, not below 0, in cents."""
    return forms.DecimalField(label=label, min_value=0, max_digits=10, decimal_places=2, **given)


def _unseen(**given: Any) -> forms.FloatField:
    """Carry a number along."""
    return forms.FloatField(required=False, widget=forms.HiddenInput, **given)


# As they are typed into an address, the first without which none counts.
COSTS = ("per_foot", "per_foot_paved", "per_foot_ploughed", "per_foot_pulled", "fixed")
PLOUGHED, PULLED = _("Per foot by plough"), _("Per foot through conduit")
IN_THE_OPEN = _("In turf and bare ground. Empty: not done.")
IN_CONDUIT = _("Where a leg is known to lie in conduit. Empty: not done.")


class RenewForm(forms.Form):
    """What is assumed; all of it stands in the address. Money is in one currency."""

    fault_cost = forms.FloatField(label=_("Cost of one fault"), min_value=1, required=False)
    per_foot = forms.FloatField(
        label=_("Renewal, per foot"),
        min_value=0,
        required=False,
        help_text=_("Empty: what is kept for each property."),
    )
    per_foot_paved = forms.FloatField(
        label=_("Per foot below paving or a road"),
        min_value=0,
        required=False,
        help_text=_("Empty: the same."),
    )
    per_foot_ploughed = forms.FloatField(
        label=PLOUGHED, min_value=0, required=False, help_text=IN_THE_OPEN
    )
    per_foot_pulled = forms.FloatField(
        label=PULLED, min_value=0, required=False, help_text=IN_CONDUIT
    )
    fixed = forms.FloatField(
        label=_("Once for each property"),
        min_value=0,
        required=False,
        help_text=_("What is paid once where any leg of a property is renewed."),
    )
    budget = forms.FloatField(
        label=_("Money at most"), min_value=0, required=False, help_text=_("Empty: no limit.")
    )
    years = forms.FloatField(label=_("Years looked ahead"), min_value=1, max_value=60)
    interest_percent = forms.FloatField(
        label=_("Interest above inflation, percent"), min_value=0, max_value=30
    )
    kept_percent = forms.FloatField(
        label=_("Faults of a renewed leg, in percent of an ordinary one"),
        min_value=0,
        max_value=200,
    )
    place = forms.ChoiceField(label=_("Property"), required=False)

    def __init__(
        self, data: Any, *args: Any, places: list[Property], past: Past | None, **kwargs: Any
    ) -> None:
        given = {**DEFAULTS, **{name: value for name, value in data.items() if value != ""}}
        if past is not None:
            given.setdefault("fault_cost", f"{past.mean:.0f}")
        super().__init__(given, *args, **kwargs)
        self.past, self.has_own_cost = past, bool(data.get("fault_cost"))
        self.by_ref = {place.ref: place for place in places}
        field = self.fields["place"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", _("all that you see")), *((one.ref, one.code) for one in places)]

    def clean(self) -> dict[str, Any]:
        """Costs are typed as one, or all of them are those that are kept."""
        data = super().clean() or {}
        others = [data.get(name) for name in COSTS[1:]]
        if "per_foot" in data and data["per_foot"] is None and any(x is not None for x in others):
            self.add_error(
                "per_foot",
                _("Give this one too, or leave all of them empty: then the kept ones count."),
            )
        return data

    @property
    def chosen(self) -> Property | None:
        """The one property in view, or None for all."""
        return self.by_ref.get(self.cleaned_data.get("place", "")) if self.is_valid() else None

    def assumed(self) -> Assumed | None:
        """Return what is assumed; None before the company's own costs are there."""
        if not self.is_valid():
            return None
        data = self.cleaned_data
        costs = self._costs()
        if data["fault_cost"] is None or not costs:
            return None
        se, sd = errors_of(data["fault_cost"], self.past)
        return Assumed(
            fault_cost=data["fault_cost"],
            fault_cost_se=se,
            fault_cost_sd=sd,
            costs=costs,
            years=data["years"],
            interest_percent=data["interest_percent"],
            kept_percent=data["kept_percent"],
            budget=data["budget"],
        )

    def typed_costs(self) -> str:
        """Return what was typed as a query for the page that keeps it; empty without costs."""
        data = self.cleaned_data if self.is_valid() else {}
        if data.get("per_foot") is None:
            return ""
        return urlencode(
            {name: data[name] for name in ("place", *COSTS) if data[name] not in (None, "")}
        )

    def _costs(self) -> dict[int, Costs]:
        """What was typed counts at every property; else what is kept there."""
        data = self.cleaned_data
        places = [self.chosen] if self.chosen else list(self.by_ref.values())
        if data["per_foot"] is None:
            return kept_costs(places)
        typed = Costs(
            data["per_foot"],
            data["per_foot_paved"],
            data["fixed"] or 0.0,
            per_foot_ploughed=data["per_foot_ploughed"],
            per_foot_pulled=data["per_foot_pulled"],
        )
        return {place.pk: typed for place in places}


class KeepCostsForm(PlaceOrAllForm):
    """What renewing costs, and where."""

    all_words = _("all that have none of their own")

    per_foot = _money(_("Renewal, per foot"))
    per_foot_paved = _money(
        _("Per foot below paving or a road"), required=False, help_text=_("Empty: the same.")
    )
    per_foot_ploughed = _money(PLOUGHED, required=False, help_text=IN_THE_OPEN)
    per_foot_pulled = _money(PULLED, required=False, help_text=IN_CONDUIT)
    fixed = _money(
        _("Once for each property"),
        help_text=_("What is paid once where any leg of a property is renewed."),
    )

    costs_place = PlaceOrAllForm.chosen_place


class DecideForm(forms.Form):
    """What is decided on one leg; what is assumed besides comes from the page that led here."""

    choice = forms.ChoiceField(label=_("Decided"), choices=Choice.choices)
    why = forms.CharField(label=_("Why"), max_length=300)
    look_again_on = forms.DateField(
        label=_("Look again on"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text=_("It falls due then by itself. Needed where it is not renewed now."),
    )
    fault_cost = forms.FloatField(label=_("Cost of one fault"), min_value=1, required=False)
    renewal_cost = forms.FloatField(
        label=_("Cost of the work"),
        min_value=0,
        required=False,
        help_text=_("With both costs, how sure it was on this day is kept with the decision."),
    )

    years = _unseen(min_value=1, max_value=60)
    interest_percent = _unseen(min_value=0, max_value=30)
    kept_percent = _unseen(min_value=0, max_value=200)

    def __init__(
        self, *args: Any, cost_words: str = "", past: Past | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        if past is not None:
            self.fields["fault_cost"].help_text = past_words(past)
        field = self.fields["renewal_cost"]
        field.help_text = f"{cost_words} {field.help_text}".strip()

    def clean(self) -> dict[str, Any]:
        """What nobody carried along is taken as every page starts with it."""
        data = super().clean() or {}
        for name, value in DEFAULTS.items():
            if name not in self.errors and data.get(name) is None:
                data[name] = value
        return data
