"""What people set for themselves, and the sign-in."""

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.utils.translation import gettext_lazy as _

from sites.kernel.forms.fields import time_zone_choices
from sites.models import (
    User,
)


class SignInForm(AuthenticationForm):
    """Name and password; what went wrong never tells whether the name exists."""

    error_messages = {
        **AuthenticationForm.error_messages,
        "invalid_login": _(
            "This name and password do not go together. Check both; capital letters count. "
            "After six wrong tries the name is locked for 15 minutes."
        ),
    }


class AccountForm(forms.ModelForm):  # type: ignore[type-arg]
    """What people set for themselves."""

    time_zone = forms.ChoiceField(label=_("Time zone"), choices=time_zone_choices)

    class Meta:
        model = User
        fields = ["first_name", "last_name", "email", "time_zone", "language"]
