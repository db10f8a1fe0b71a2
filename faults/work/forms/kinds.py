"""The form of what a kind of job needs."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.models import SKILL_CHOICES
from faults.models.kind import kind_facts
from faults.work.engines.kinds import KindFacts


class KindFactsForm(forms.Form):
    """Minutes, skill, people, gear, and whether ground is opened."""

    minutes = forms.IntegerField(label=_("Minutes"), min_value=1, max_value=14 * 24 * 60)
    skill = forms.TypedChoiceField(label=_("Skill needed"), choices=SKILL_CHOICES, coerce=int)
    people = forms.IntegerField(label=_("People needed"), min_value=1, max_value=20)
    opens_ground = forms.BooleanField(
        label=_("Ground is opened"),
        required=False,
        help_text=_(
            "Then notice, soil, depth and the client's yes are asked for, for planned jobs too."
        ),
    )
    gear = forms.CharField(
        label=_("What to take along"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("Empty: what is mostly taken, in the language of who plans."),
    )

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        known = kind_facts(kind)
        initial = {name: getattr(known, name) for name in KindFacts.__dataclass_fields__}
        super().__init__(*args, **{**kwargs, "initial": initial})

    def facts(self) -> KindFacts:
        """Return the cleaned values as the verb's arguments."""
        return KindFacts(**self.cleaned_data)
