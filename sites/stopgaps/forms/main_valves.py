"""The form on which it is said how a master valve or pump opens."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from sites.models import MainValve, Stopgap


class MainValveForm(forms.Form):
    """How the master valve or pump above a station opens while stopgaps stand."""

    main_valve = forms.ChoiceField(
        label=_("While it stands"),
        choices=[("", _("not known")), *MainValve.choices],
        widget=forms.RadioSelect,
        required=False,
    )

    def __init__(self, *args: Any, own: list[Stopgap], others: list[Stopgap], **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.by_key = {str(each.pk): each for each in [*own, *others]}
        kinds = {each.pk: each.get_kind_display() for each in [*own, *others]}
        days = {
            each.pk: " – ".join(
                day.isoformat() for day in (each.counted_from, each.removed_on) if day is not None
            )
            for each in [*own, *others]
        }
        self.fields["stopgaps"] = forms.MultipleChoiceField(
            label=_("Holds for"),
            choices=[(str(each.pk), f"{kinds[each.pk]}, {days[each.pk]}") for each in own],
            initial=[str(each.pk) for each in own if not each.main_valve or each == own[0]],
            widget=forms.CheckboxSelectMultiple,
        )
        if others:
            self.fields["also"] = forms.MultipleChoiceField(
                label=_("And for these, of which nobody said it either"),
                choices=[
                    (str(each.pk), f"{each.station}, {kinds[each.pk]}, {days[each.pk]}")
                    for each in others
                ],
                required=False,
                widget=forms.CheckboxSelectMultiple,
            )

    def chosen(self) -> list[Stopgap]:
        """Return the stopgaps for which it holds."""
        keys = [*self.cleaned_data["stopgaps"], *self.cleaned_data.get("also", [])]
        return [self.by_key[key] for key in keys]
