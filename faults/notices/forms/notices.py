"""Forms of tickets: what stands on them, and who has answered."""

from collections.abc import Sequence
from datetime import date, datetime, tzinfo
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import DayField, Group, GroupedForm, why_field
from faults.models import Notice, OperatorAnswer, OperatorState
from faults.notices.services.tickets import OperatorLine, TicketFacts
from sites.kernel.forms.fields import OnAndWhyForm, refuse_impossible_day

NEW_ROWS = 3


class MomentField(forms.DateTimeField):
    """A moment on the wall clock of a property, chosen in the browser's own calendar."""

    def __init__(self, *, zone: tzinfo, **kwargs: Any) -> None:
        widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
        self.zone = zone
        super().__init__(**{"widget": widget, **kwargs})

    def to_python(self, value: Any) -> datetime | None:
        """Read the moment in the property's zone."""
        with timezone.override(self.zone):
            found: datetime | None = super().to_python(value)
        if found is not None:
            refuse_impossible_day(found.date())
        return found

    def prepare_value(self, value: Any) -> Any:
        """Write a moment in the property's zone; what was typed stands as it is."""
        with timezone.override(self.zone):
            return super().prepare_value(value)


class NoticeForm(GroupedForm):
    """What stands on a ticket; its printed days are mostly typed in later."""

    ticket = forms.CharField(label=_("Ticket number"), max_length=40)
    area = forms.CharField(
        label=_("Where the dig is"),
        max_length=200,
        required=False,
        help_text=_("As told to the centre: such as the strip along the east walk."),
    )
    proposed_start_on = DayField(
        label=_("Proposed start"), help_text=_("The day that was asked for.")
    )
    printed_start_on = DayField(label=_("Printed: work may start on"), required=False)
    printed_expiry_on = DayField(
        label=_("Printed: runs out on"),
        required=False,
        help_text=_("The last day on which the ticket still holds."),
    )
    operators = forms.CharField(
        label=_("Who must answer?"),
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_("One operator a line, as the ticket lists them: gas, power, water, cable."),
    )
    is_sure = forms.BooleanField(
        label=_("These days are as printed"),
        required=False,
        help_text=_("Needed only where a day lies far from the rule's: look at the year first."),
    )
    why = why_field()

    def __init__(self, *args: Any, zone: tzinfo, notice: Notice | None = None, **kw: Any) -> None:
        if notice is not None:
            names = [*TicketFacts.__dataclass_fields__]
            kw["initial"] = {name: getattr(notice, name) for name in names}
        super().__init__(*args, **kw)
        self.fields["given_at"] = MomentField(
            zone=zone,
            label=_("Given at"),
            help_text=_("On the property's clock: the hour can move the first day to dig."),
        )
        del self.fields["operators" if notice else "why"]

    def grouping(self) -> list[Group]:
        """The printed days stand apart: they win."""
        printed = (
            _("Printed on the ticket: these days win over all that is computed"),
            ["printed_start_on", "printed_expiry_on", "is_sure"],
        )
        asked = ["ticket", "given_at", "proposed_start_on", "area"]
        return [(_("The notice"), asked), printed, ("", ["operators", "why"])]

    def clean_operators(self) -> list[str]:
        """Read one operator a line."""
        return str(self.cleaned_data["operators"]).splitlines()

    def facts(self) -> TicketFacts:
        """Return what stands on the ticket, for the verb."""
        data = self.cleaned_data
        return TicketFacts(**{name: data[name] for name in TicketFacts.__dataclass_fields__})


class CancelForm(OnAndWhyForm):
    """From which day on a ticket does not hold, and why."""

    on = DayField(label=_("Cancelled on"))


class AnswersForm(GroupedForm):
    """One group for each operator of a ticket, and a few empty ones.

    The day starts as today, because most answers are entered as they come in; it is kept only
    with an answer.
    """

    def __init__(
        self, *args: Any, rows: Sequence[OperatorAnswer], today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.rows: dict[str, OperatorAnswer | None] = {f"row{row.pk}": row for row in rows}
        self.rows |= {f"new{number}": None for number in range(1, NEW_ROWS + 1)}
        for key, row in self.rows.items():
            self._add(key, row)

    def _add(self, key: str, row: OperatorAnswer | None) -> None:
        self.fields[f"{key}_operator"] = forms.CharField(
            label=_("Operator"),
            max_length=80,
            required=False,
            initial=row.operator if row else "",
            help_text=_("Emptied, it is taken off the ticket.") if row else "",
        )
        self.fields[f"{key}_state"] = forms.ChoiceField(
            label=_("Answer"),
            choices=OperatorState.choices,
            required=False,
            initial=row.state if row else OperatorState.WAITING,
        )
        self.fields[f"{key}_answered_on"] = DayField(
            label=_("Answered on"), required=False, initial=(row and row.answered_on) or self.today
        )
        self.fields[f"{key}_notes"] = forms.CharField(
            label=_("Notes"), max_length=200, required=False, initial=row.notes if row else ""
        )

    folded = (_("Add operators"),)

    def grouping(self) -> list[Group]:
        """One group an operator; the empty ones together, folded where an operator is listed."""
        groups: list[Group] = []
        new: list[str] = []
        for key, row in self.rows.items():
            names = [f"{key}_{each}" for each in ("operator", "state", "answered_on", "notes")]
            if row is None:
                new += names
            else:
                groups.append((row.operator, names))
        is_first = not groups
        return [*groups, (_("Who must answer?") if is_first else _("Add operators"), new)]

    def lines(self) -> list[OperatorLine]:
        """Return what each line says, for the verb."""
        data = self.cleaned_data
        return [
            OperatorLine(
                operator=data[f"{key}_operator"],
                state=data[f"{key}_state"] or OperatorState.WAITING.value,
                answered_on=data[f"{key}_answered_on"],
                notes=data[f"{key}_notes"],
                row=row.pk if row else None,
            )
            for key, row in self.rows.items()
        ]


class OverrideForm(GroupedForm):
    """The owner's reason, and that the consequences are understood."""

    reason = forms.CharField(
        label=_("Why may this dig go on?"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_(
            "Who was spoken to, and what they said. Kept with your name on job and notice."
        ),
    )
    is_understood = forms.BooleanField(
        label=_("I answer for this dig: utilities may not be marked where it goes down")
    )

    def values(self) -> dict[str, object]:
        """Return what is kept; that the consequences are understood lets the form be sent."""
        return {"reason": self.cleaned_data["reason"]}
