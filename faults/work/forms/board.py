"""The forms of the board: where a job goes, and how it is split."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.access import crews_for
from faults.cases.forms.fields import DayField
from faults.models import Crew, Job
from faults.work.forms.reasons import planning_why
from sites.models import User


class MoveOnBoardForm(forms.Form):
    """Which crew, on which day, from when; no crew puts the job back into the tray.

    Args:
        proposed: a crew by its reference and a day that stand in the form at first, where there
            is such a crew; else where the job lies.
    """

    crew = forms.ChoiceField(label=_("Crew"), required=False)
    day = DayField(label=_("Day"), required=False)
    starts_at = forms.TimeField(
        label=_("Starts at"),
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        help_text=_("Empty: some time that day."),
    )
    why = forms.CharField(
        label=_("Why"),
        required=False,
        max_length=100,
        help_text=_(
            "Needed to put it back into the tray, outside the days it was agreed for or the crew's "
            "working time, and for a crew of less skill."
        ),
    )

    def __init__(
        self,
        *args: Any,
        job: Job,
        user: User,
        to_tray: bool = False,
        proposed: tuple[str, str] = ("", ""),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        crews = crews_for(user).filter(retired_on__isnull=True).order_by("name", "pk")
        self.crews: dict[str, Crew] = {crew.ref: crew for crew in crews}
        offered = self.fields["crew"]
        assert isinstance(offered, forms.ChoiceField)
        offered.choices = [
            ("", _("nobody: into the tray")),
            *((ref, crew.name) for ref, crew in self.crews.items()),
        ]
        self.initial = {
            "crew": job.crew.ref if job.crew and not to_tray else "",
            "day": job.day,
            "starts_at": job.starts_at,
        }
        if proposed[0] in self.crews:
            self.initial |= {"crew": proposed[0], "day": proposed[1]}

    def clean(self) -> dict[str, object]:
        """A crew is sent on a day."""
        data = super().clean() or {}
        if data.get("crew") and not data.get("day") and "day" not in self.errors:
            self.add_error("day", _("On which day does the crew go?"))
        return data

    def chosen_crew(self) -> Crew | None:
        """Return the crew, or None for the tray."""
        return self.crews.get(self.cleaned_data["crew"])


class SplitOnBoardForm(forms.Form):
    """How many minutes go into a part of their own, and on which day its crew does them."""

    minutes = forms.IntegerField(label=_("Minutes of the new part"), min_value=1)
    day = DayField(
        label=_("Day of the new part"),
        required=False,
        help_text=_("Empty: the part waits in the tray."),
    )
    why = planning_why()

    def __init__(self, *args: Any, job: Job, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["minutes"].widget.attrs["max"] = job.expected_minutes - 1
        self.initial = {"minutes": job.expected_minutes // 2 or 1}
        self.fields["day"].widget.attrs["min"] = today.isoformat()
