"""Forms of reconciling: the list that is brought, and what is decided."""

from typing import Any

from django import forms
from django.conf import settings
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from sites.kernel.forms.fields import DayField
from sites.models import Difference, Property
from sites.reconcile.services.deciding import WAYS


class ListForm(forms.Form):
    """The central system's list, for all properties or for one."""

    brought = forms.FileField(
        label=_("The list"),
        help_text=_(
            "As the central system gives it: .csv, .xlsx, .xls or .ods, with a column for the "
            "controller, one for the station's number and, where it has it, whether it is enabled."
        ),
        error_messages={"required": _("Choose the file with the list.")},
    )
    place = forms.ModelChoiceField(
        label=_("Which property?"),
        queryset=Property.objects.none(),
        required=False,
        to_field_name="ref",
        empty_label=_("all that the list names"),
        help_text=_("Choose one where the list has no column that names it."),
    )

    def __init__(self, *args: Any, places: QuerySet[Property], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["place"]
        field.queryset = places

    def clean_brought(self) -> Any:
        """Refuse what is too large to be read within a request."""
        file = self.cleaned_data["brought"]
        if file.size > settings.LARGEST_REGISTER_FILE_BYTES:
            raise forms.ValidationError(_("This file is too large. Bring the list in parts."))
        return file


class DecideForm(forms.Form):
    """One difference, or all alike of one controller, and the way to settle it."""

    place = forms.CharField(max_length=16)
    controller = forms.CharField(max_length=60)
    number = forms.IntegerField(required=False, min_value=0)
    difference = forms.ChoiceField(choices=Difference.choices)
    decided = forms.ChoiceField(choices=[(name, name) for name in WAYS])
    on = DayField(required=False)
