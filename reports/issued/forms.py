"""What is asked of a report, and the rule of a series."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.models import Fault, Round
from reports.issued.services.asking import Asked
from reports.issued.services.series import SeriesFacts
from reports.models import LANGUAGES, Audience, Paper, ReportKind, Rhythm
from sites.models import Client, Property, Units, User

OF_FAULT = (ReportKind.PROOF, ReportKind.DAMAGE)
OF_PERIOD = (ReportKind.PROPERTY, ReportKind.CLIENT, ReportKind.OWNER)


class DayInput(forms.DateInput):
    """A day as the browser asks for it."""

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d", attrs={"type": "date"})


class _LooksForm(forms.Form):
    """In which words, units and paper, and for whom."""

    audience = forms.ChoiceField(label=_("For whom"), choices=Audience.choices)
    shows_prices = forms.BooleanField(
        label=_("With money"),
        required=False,
        help_text=_("What the client is given with money, the client sees with money."),
    )
    language = forms.ChoiceField(label=_("Language"), choices=LANGUAGES)
    units = forms.ChoiceField(label=_("Units"), choices=Units.choices)
    paper = forms.ChoiceField(label=_("Paper"), choices=Paper.choices)

    def looks(self) -> dict[str, Any]:
        """Return what was chosen."""
        return {name: self.cleaned_data[name] for name in _LooksForm.base_fields}


class _AboutForm(forms.Form):
    """About which property or client."""

    kind = forms.ChoiceField(label=_("Report"))
    place = forms.ChoiceField(label=_("Property"), required=False)
    client = forms.ChoiceField(
        label=_("Client"),
        required=False,
        help_text=_("For a report on all properties of a client."),
    )

    def __init__(
        self,
        *args: Any,
        places: Sequence[Property],
        clients: Sequence[Client],
        may_report_all: bool,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.places = {each.ref: each for each in places}
        self.clients = {str(each.pk): each for each in clients}
        kinds = [ReportKind.PROPERTY]
        kinds += [ReportKind.CLIENT] if clients else []
        kinds += [ReportKind.OWNER] if may_report_all else []
        self._offer("kind", [(kind.value, kind.label) for kind in kinds])
        self._offer("place", [("", "—"), *((each.ref, str(each)) for each in places)])
        self._offer(
            "client", [("", "—"), *((key, str(each)) for key, each in self.clients.items())]
        )
        if not clients:
            del self.fields["client"]

    def _offer(self, name: str, choices: list[Any]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = choices

    def clean(self) -> dict[str, Any]:
        """Ask for the one thing that the kind is about."""
        data: dict[str, Any] = super().clean() or {}
        for kind, field in ((ReportKind.PROPERTY, "place"), (ReportKind.CLIENT, "client")):
            if data.get("kind") == kind and not data.get(field):
                self.add_error(field, _("Choose which one."))
        return data

    def about(self) -> dict[str, Any]:
        """Return what it is about: what another kind would ask is left aside."""
        data = self.cleaned_data
        kind = data["kind"]
        return {
            "kind": kind,
            "place": self.places[data["place"]] if kind == ReportKind.PROPERTY else None,
            "client": self.clients[data["client"]] if kind == ReportKind.CLIENT else None,
        }


class AskForm(_LooksForm, _AboutForm):
    """A report over a period."""

    from_on = forms.DateField(label=_("First day"), widget=DayInput())
    until_on = forms.DateField(label=_("Last day"), widget=DayInput())
    field_order = ("kind", "place", "client", "from_on", "until_on")

    def asked(self) -> Asked:
        """Return what is asked."""
        data = self.cleaned_data
        days = {name: data[name] for name in ("from_on", "until_on")}
        return Asked(**self.about(), **days, **self.looks())


class AskOfFaultForm(_LooksForm):
    """A report on one fault."""

    kind = forms.ChoiceField(
        label=_("Report"), choices=[(kind.value, kind.label) for kind in OF_FAULT]
    )
    field_order = ("kind",)

    def __init__(self, *args: Any, fault: Fault, until: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fault, self.until = fault, until

    def asked(self) -> Asked:
        """Return what is asked: from the day of the report until today."""
        fault = self.fault
        return Asked(
            kind=self.cleaned_data["kind"],
            place=fault.property,
            fault=fault,
            from_on=fault.reported_on,
            until_on=max(self.until, fault.reported_on),
            **self.looks(),
        )


class AskOfRoundForm(_LooksForm):
    """What was done on a round: at a property, at those of a client, or everywhere."""

    whose = forms.ChoiceField(label=_("Of which properties"))
    from_on = forms.DateField(
        label=_("First day"),
        widget=DayInput(),
        help_text=_("It tells of the visits whose time began between these days."),
    )
    until_on = forms.DateField(label=_("Last day"), widget=DayInput())
    field_order = ("whose", "from_on", "until_on")

    def __init__(
        self,
        *args: Any,
        the_round: Round,
        places: Sequence[Property],
        clients: Sequence[Client],
        is_whole: bool,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.round = the_round
        self.about: dict[str, dict[str, Any]] = {
            **{f"client-{one.pk}": {"client": one} for one in clients},
            **{one.ref: {"place": one} for one in places},
            **({"all": {}} if is_whole else {}),
        }
        names = {name: str(*one.values()) for name, one in self.about.items() if one}
        field = self.fields["whose"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(name, names.get(name, _("all, for ourselves"))) for name in self.about]

    def clean(self) -> dict[str, Any]:
        """One client does not read of another's properties."""
        data: dict[str, Any] = super().clean() or {}
        if data.get("whose") == "all" and data.get("audience") == Audience.CLIENT:
            self.add_error("whose", _("For a client choose its properties, or one of them."))
        return data

    def asked(self) -> Asked:
        """Return what is asked."""
        data = self.cleaned_data
        days = {name: data[name] for name in ("from_on", "until_on")}
        about = self.about[data["whose"]]
        kind = ReportKind.ROUND.value
        return Asked(kind=kind, round=self.round, **about, **days, **self.looks())


class SeriesForm(_LooksForm, _AboutForm):
    """A rule: what is made after each period, for whose desk, and who is mailed."""

    rhythm = forms.ChoiceField(label=_("How often"), choices=Rhythm.choices)
    next_from_on = forms.DateField(
        label=_("First day of the first period"),
        widget=DayInput(),
        help_text=_("The first of a month. What is over already is made within a quarter hour."),
    )
    desk = forms.ChoiceField(
        label=_("Whose desk it goes to"),
        help_text=_("Who looks at it and issues it: nothing goes out by itself."),
    )
    mail_to = forms.CharField(
        label=_("Mailed to"),
        required=False,
        max_length=500,
        help_text=_(
            "Addresses of people who may sign in and see it. Once it is issued, they get its link."
        ),
    )
    field_order = ("kind", "place", "client", "rhythm", "next_from_on", "desk", "mail_to")

    def __init__(self, *args: Any, people: Sequence[User], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.people = {str(each.pk): each for each in people}
        self._offer("desk", [(key, str(each)) for key, each in self.people.items()])

    def asked(self) -> Asked:
        """Return what is asked; its days are those of the first period."""
        first = self.cleaned_data["next_from_on"]
        return Asked(**self.about(), from_on=first, until_on=first, **self.looks())

    def facts(self) -> SeriesFacts:
        """Return the rule."""
        data = self.cleaned_data
        return SeriesFacts(
            rhythm=data["rhythm"],
            next_from_on=data["next_from_on"],
            desk=self.people[data["desk"]],
            mail_to=data["mail_to"],
        )
