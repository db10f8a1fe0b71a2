"""The form that adds a photo."""

from django import forms
from django.utils.translation import gettext_lazy as _

# Named one by one, a phone that keeps another kind of file turns it into one of these.
READABLE = "image/jpeg,image/png,image/webp"


class PhotoForm(forms.Form):
    """A photo from the camera or from a file, its caption, and whether its place is kept."""

    # A plain file field: a picture is opened once, by the service, which limits how.
    photo = forms.FileField(
        label=_("Photo from a file"),
        required=False,
        widget=forms.FileInput(attrs={"accept": READABLE}),
        help_text=_("JPEG, PNG or WebP, at most 15 MB."),
    )
    camera = forms.FileField(
        label=_("Or take it now"),
        required=False,
        widget=forms.FileInput(attrs={"accept": READABLE, "capture": "environment"}),
    )
    caption = forms.CharField(label=_("Caption"), max_length=200, required=False)
    keep_position = forms.BooleanField(
        label=_("Keep where it was taken"),
        required=False,
        help_text=_(
            "Off: the position that a phone writes into the file is dropped, with all else that "
            "it adds."
        ),
    )

    def clean_caption(self) -> str:
        """Keep one space between words."""
        return " ".join(self.cleaned_data["caption"].split())

    def clean(self) -> dict[str, object]:
        """One picture, from either field."""
        data = super().clean() or {}
        if not (data.get("photo") or data.get("camera")) and not self.errors:
            self.add_error("photo", _("Choose a photo, or take one."))
        return data
