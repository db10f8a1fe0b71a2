"""The forms of a job's lines, of what a dig must think of, and of how long a hole takes."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import (
    DayField,
    Group,
    GroupedForm,
    depth_field,
    length_field,
    why_field,
)
from faults.models import CHARGE_CHOICES, Job, JobLine, LineBasis, LineKind
from faults.work.engines.safety import (
    PRIVATE,
    Prompt,
    ProtectiveSystem,
    Situation,
    private_said,
    private_words,
)
from faults.work.forms.jobs import situations_field
from faults.work.services.ground_words import GROUND_WORDS
from faults.work.services.lines import rate_on
from faults.work.services.proposed import Proposed, visit_day
from faults.work.services.safety import (
    PRIVATE_WORDS,
    PROMPT_WORDS,
    SYSTEM_WORDS,
    answers_of,
    field_of,
    prompts_of,
    situations_of,
)
from faults.work.services.told import LineFacts
from sites.models import Property


class LineForm(forms.Form):
    """One line: time, parts or standing by. Only users who may see prices get the price field."""

    kind = forms.ChoiceField(label=_("What for"), choices=LineKind.choices)
    charge = forms.ChoiceField(
        label=_("What is charged"),
        choices=[("", _("not said")), *CHARGE_CHOICES],
        required=False,
        help_text=_("By it the line covers the hours of people, and is priced."),
    )
    on = DayField(label=_("Day"))
    what = forms.CharField(label=_("What"), max_length=200)
    quantity = forms.DecimalField(
        label=_("Quantity"), max_digits=10, decimal_places=4, min_value=Decimal("0.0001")
    )
    unit = forms.CharField(label=_("Unit"), max_length=12, help_text=_("Such as h, each, ft."))
    unit_price = forms.DecimalField(
        label=_("Price per unit"),
        max_digits=10,
        decimal_places=4,
        min_value=0,
        required=False,
        help_text=_("Empty: not known."),
    )
    basis = forms.ChoiceField(label=_("Who pays"), choices=LineBasis.choices)

    def __init__(
        self,
        *args: Any,
        job: Job,
        sees_prices: bool,
        today: date,
        line: JobLine | None = None,
        kind: str = LineKind.TIME,
        proposed: Proposed | None = None,
        **kwargs: Any,
    ) -> None:
        self.sees_prices = sees_prices
        known = _of_line(line) if line else _of_kind(job, kind, today, proposed)
        super().__init__(*args, **{"initial": known, **kwargs})
        if not sees_prices:
            del self.fields["unit_price"]
        if line is not None:
            self.fields["why"] = why_field(required=True, label=_("What was wrong?"))

    TOLD = ("kind", "charge", "basis", "on", "what", "quantity", "unit")

    def facts(self) -> LineFacts:
        """Return the cleaned values; a user who may not see prices takes the property's rate."""
        data = self.cleaned_data
        told = {name: data[name] for name in self.TOLD}
        return LineFacts(
            **told, unit_price=data.get("unit_price"), price_by_rate=not self.sees_prices
        )


def _of_line(line: JobLine) -> dict[str, object]:
    names = ("kind", "charge", "basis", "on", "what", "unit")
    known = {name: getattr(line, name) for name in names}
    known["quantity"] = f"{line.quantity.normalize():f}"
    if line.unit_price is not None:
        known["unit_price"] = f"{line.unit_price.normalize():f}"
    return known


def _of_kind(job: Job, kind: str, today: date, proposed: Proposed | None) -> dict[str, object]:
    day = min(visit_day(job) or today, today)
    known: dict[str, object] = {"kind": kind, "on": day, "basis": LineBasis.BILLABLE}
    if kind == LineKind.PARTS:
        return {**known, "unit": "each"}
    rate = rate_on(job.property, kind, day, digs=job.digs())
    known |= {"unit": "h", "what": job.get_kind_display()}
    if proposed is not None:
        rate = proposed.price
        known |= {
            "charge": proposed.charge.value,
            "unit": proposed.unit,
            "quantity": f"{proposed.quantity:f}",
            "what": f"{job.get_kind_display()}: {dict(CHARGE_CHOICES)[proposed.charge.value]}",
        }
    return {**known, "unit_price": f"{rate.normalize():f}" if rate is not None else ""}


class SafetyForm(GroupedForm):
    """How deep, what is around the hole, and the answers that this depth asks for."""

    situations = situations_field()

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        known: dict[str, object] = {
            "depth_in": job.planned_depth_in,
            "situations": [each.value for each in situations_of(job)],
        }
        answers = answers_of(job)
        known |= {field_of(prompt): words for prompt, words in answers.items()}
        for prompt in PRIVATE:
            if (said := private_said(answers.get(prompt, ""))) is not None:
                known |= {field_of(prompt): said[0].value, f"{field_of(prompt)}_by": said[1]}
        super().__init__(*args, **{"initial": known, **kwargs})
        self.fields["depth_in"] = depth_field(job.property, _("Depth of the hole"), required=True)
        self.prompts = prompts_of(job)
        for prompt in self.prompts:
            self.fields[field_of(prompt)] = _answer_field(prompt)
            if prompt in PRIVATE:
                self.fields[f"{field_of(prompt)}_by"] = _name_field(prompt)

    def grouping(self) -> list[Group]:
        """The hole, then the answers."""
        answers = [name for name in self.fields if name.startswith("answer_")]
        return [(_("The hole"), ["depth_in", "situations"]), (_("Answers"), answers)]

    def values(self) -> dict[str, object]:
        """Return depth, situations and answers for the verb."""
        data = self.cleaned_data
        return {
            "depth_in": data["depth_in"],
            "situations": {Situation(word) for word in data["situations"]},
            "answers": {prompt: self._answer(prompt) for prompt in self.prompts},
        }

    def _answer(self, prompt: Prompt) -> str:
        words: str = self.cleaned_data[field_of(prompt)]
        if prompt not in PRIVATE:
            return words
        return private_words(words, self.cleaned_data[f"{field_of(prompt)}_by"])


def _answer_field(prompt: Prompt) -> forms.Field:
    if prompt is Prompt.PROTECTIVE_SYSTEM:
        systems = [(system.value, SYSTEM_WORDS[system]) for system in ProtectiveSystem]
        return forms.ChoiceField(
            label=PROMPT_WORDS[prompt], choices=[("", "—"), *systems], required=False
        )
    if prompt in PRIVATE:
        states = [(state.value, word) for state, word in PRIVATE_WORDS.items()]
        return forms.ChoiceField(
            label=PROMPT_WORDS[prompt], choices=[("", "—"), *states], required=False
        )
    return forms.CharField(label=PROMPT_WORDS[prompt], max_length=200, required=False)


def _name_field(prompt: Prompt) -> forms.Field:
    kinds = {
        Prompt.PRIVATE_LIGHTS: _("Lights: who?"),
        Prompt.PRIVATE_POOL: _("Pool: who?"),
        Prompt.PRIVATE_GAS: _("Gas to grills: who?"),
        Prompt.PRIVATE_FIBRE: _("Site fibre: who?"),
    }
    return forms.CharField(label=kinds[prompt], max_length=120, required=False)


class HoleForm(forms.Form):
    """The hole, the ground, and what else the visit takes, for an estimate."""

    def __init__(self, *args: Any, place: Property, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        some = {"required": True, "min_value": 0.1, "max_value": 1000}
        self.fields["length_ft"] = length_field(place, _("Length of the hole"), **some)
        self.fields["width_in"] = depth_field(place, _("Width"), **some)
        self.fields["depth_in"] = depth_field(place, _("Depth"), **some)
        self.fields["ground"] = forms.ChoiceField(
            label=_("Ground"),
            choices=[("", _("not known")), *((g.value, word) for g, word in GROUND_WORDS.items())],
            required=False,
        )
        for name, label in (
            ("other_hours", _("Other hours: mending, travel")),
            ("standby_hours", _("Hours of standing by")),
            ("parts", _("Parts, money")),
        ):
            self.fields[name] = forms.DecimalField(
                label=label, min_value=0, max_digits=8, decimal_places=2, required=False
            )
