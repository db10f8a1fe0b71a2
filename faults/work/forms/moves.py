"""One form for each stage that a station of a fault can move to."""

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.cases.engines.consent import Limit
from faults.cases.engines.stages import HowReturned, Stage
from faults.cases.forms.fields import DayField, Group
from faults.cases.services.after_mend import RETURN_WORDS
from faults.cases.services.asking import last_yes
from faults.cases.services.proof_asks import minutes_wanted, wanted_of
from faults.cases.services.told import (
    RETURN_LIST,
    Consent,
    Finding,
    Measured,
    Mending,
    Proving,
    Returning,
    StageFacts,
)
from faults.models import HOW_RETURNED_CHOICES, CauseSide
from faults.work.forms.move_form import WHICH, MoveForm, ScheduleForm


class FindForm(MoveForm):
    """A break is recorded already, or it was something outside the wire."""

    cause_outside = forms.CharField(
        label=_("What was it, if not the wire?"),
        max_length=150,
        required=False,
        help_text=_("Such as: transformer output dead, solenoid burnt, valve shut. No leg needed."),
    )
    side = forms.ChoiceField(
        label=_("Where does that lie?"),
        choices=[each for each in CauseSide.choices if each[0] != CauseSide.WIRE],
        initial=CauseSide.VALVE,
    )

    field_order = ["stations", "on", "cause_outside", "side", "why"]

    def facts(self) -> StageFacts:
        """Return the finding."""
        return Finding(self.cleaned_data["cause_outside"], self.cleaned_data["side"])


class AgreeForm(MoveForm):
    """The client's yes, or what the client allows without being asked."""

    is_standing = forms.BooleanField(
        label=_("Covered by the standing authority: nobody was asked"), required=False
    )
    given_by = forms.CharField(label=_("Who said yes?"), max_length=120, required=False)
    given_on = DayField(label=_("On which day did they say yes?"), required=False)
    hours = forms.DecimalField(
        label=_("Up to hours"), required=False, min_value=0, max_digits=6, decimal_places=2
    )
    amount = forms.DecimalField(
        label=_("Up to money"), required=False, min_value=0, max_digits=10, decimal_places=2
    )

    field_order = ["stations", "given_by", "given_on", "hours", "amount", "is_standing", "why"]

    def ask(self) -> None:
        """The yes is mostly entered while it is on the phone, or it was answered already."""
        self.fields["given_on"].initial = self.fields["on"].initial
        if (yes := last_yes(self.fault)) is not None:
            self.fields["given_by"].initial = yes.asked_of
            self.fields["given_on"].initial = yes.answered_on
            self.fields["hours"].initial = yes.up_to_hours
            self.fields["amount"].initial = yes.up_to_amount
        self.fields["on"].label = _("Entered as of")

    def facts(self) -> StageFacts:
        """Return the consent; nothing or nought means no limit of that kind."""
        data = self.cleaned_data
        limit = Limit(data["hours"] or None, data["amount"] or None)
        return Consent(data["given_by"], data["given_on"], limit, data["is_standing"])


class MendForm(MoveForm):
    """How it was mended, and which breaks by it."""

    how = forms.CharField(
        label=_("How was it mended?"),
        max_length=150,
        help_text=_("Such as: two splices and four feet of new wire."),
    )
    breaks = forms.MultipleChoiceField(
        label=_("Which breaks were mended by it?"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    nothing_was_dug = forms.BooleanField(
        label=_("It was at the terminals or in an open box: nothing was dug"), required=False
    )

    field_order = ["stations", "on", "how", "breaks", "nothing_was_dug", "why"]

    def ask(self) -> None:
        """Offer the breaks that stand; ask about digging where nobody has agreed to it."""
        standing = self.fault.breaks.filter(mended_on__isnull=True).select_related("leg")
        self.standing = {str(one.pk): one for one in standing.order_by("running_number")}
        offered = self.fields["breaks"]
        assert isinstance(offered, forms.MultipleChoiceField)
        offered.choices = [(pk, str(one)) for pk, one in self.standing.items()]
        offered.initial = list(self.standing)
        if not self.standing:
            del self.fields["breaks"]
        if all(row.stage != Stage.FOUND for row in self.rows):
            del self.fields["nothing_was_dug"]

    def facts(self) -> StageFacts:
        """Return the mending."""
        data = self.cleaned_data
        mended = [self.standing[pk] for pk in data.get("breaks", ())]
        return Mending(data["how"], mended, data.get("nothing_was_dug", False))


class ProveForm(MoveForm):
    """What each station's wiring is proven by, the run, the valve."""

    valve_opened_and_shut = forms.BooleanField(
        label=_("The valve was seen to open and to shut"), required=False
    )

    def ask(self) -> None:
        """Add what is measured at each station, and the run that its controller's link asks for."""
        self.wanted = {row.pk: wanted_of(row, self.fault.symptom) for row in self.rows}
        for row in self.rows:
            for one in self.wanted[row.pk]:
                self.fields[f"{one.name}_{row.pk}"] = forms.FloatField(
                    label=one.label, required=False, min_value=0, max_value=1e7
                )
        self.runs = minutes_wanted(self.rows)
        for name, (label, rows) in self.runs.items():
            self.fields[name] = forms.IntegerField(
                label=label, required=len(rows) == len(self.rows), min_value=1, max_value=600
            )

    def grouping(self) -> list[Group]:
        """One group for each station's readings."""
        readings: list[Group] = [
            (str(row.station), [f"{one.name}_{row.pk}" for one in self.wanted[row.pk]])
            for row in self.rows
        ]
        rest = [*self.runs, "valve_opened_and_shut", "why"]
        return [(WHICH, ["stations", "on"]), *readings, (_("The run"), rest)]

    def facts(self) -> StageFacts:
        """Return the proof."""
        data = self.cleaned_data
        readings = {
            row.pk: Measured(
                **{one.name: data.get(f"{one.name}_{row.pk}") for one in self.wanted[row.pk]}
            )
            for row in self.cleaned_data["stations"]
        }
        runs = {name: data.get(name) for name in self.runs}
        return Proving(readings, valve_opened_and_shut=data["valve_opened_and_shut"], **runs)


class ReturnForm(MoveForm):
    """How the station came back, and the list that everybody goes through."""

    how = forms.ChoiceField(
        label=_("How did it come back?"),
        choices=HOW_RETURNED_CHOICES,
        initial=HowReturned.MENDED.value,
    )
    accepted_by_client_on = DayField(
        label=_("The client accepted it on"),
        required=False,
        help_text=_("Only for a surface wire or a doubled station: they are temporary."),
    )

    def ask(self) -> None:
        """Add the list."""
        for name in RETURN_LIST:
            self.fields[name] = forms.BooleanField(label=RETURN_WORDS[name], required=False)

    def grouping(self) -> list[Group]:
        """The list stands as a group of its own."""
        how = ["how", "accepted_by_client_on"]
        before = (_("Before you leave"), list(RETURN_LIST))
        return [(WHICH, ["stations", "on"]), (_("How it came back"), how), before, ("", ["why"])]

    def facts(self) -> StageFacts:
        """Return how it came back."""
        data = self.cleaned_data
        done = frozenset(name for name in RETURN_LIST if data[name])
        return Returning(HowReturned(data["how"]), data["accepted_by_client_on"], done)


MOVE_FORMS: dict[Stage, type[MoveForm]] = {
    Stage.SCHEDULED: ScheduleForm,
    Stage.FOUND: FindForm,
    Stage.AGREED: AgreeForm,
    Stage.MENDED: MendForm,
    Stage.PROVEN: ProveForm,
    Stage.RETURNED: ReturnForm,
}
