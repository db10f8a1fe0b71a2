"""Filters of jobs and of their lines."""

from typing import Any

import django_filters
from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from faults.models import (
    OPEN_JOB_STATES,
    Job,
    JobKind,
    JobLine,
    JobState,
    LineBasis,
)
from sites.register.forms.lists import ListFilter

NOBODY = "nobody"


def _day(label: object) -> dict[str, object]:
    return {"label": label, "widget": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}


class JobFilter(ListFilter):
    """Jobs by text, kind, state, crew, property and days.

    Only crews and properties that have jobs in these rows are offered.
    """

    kind = django_filters.ChoiceFilter(
        label=_("Kind"), choices=JobKind.choices, empty_label=_("all")
    )
    state = django_filters.ChoiceFilter(
        label=_("State"),
        choices=[("open", _("all open")), *JobState.choices],
        empty_label=_("all"),
        method="with_state",
    )
    crew = django_filters.ChoiceFilter(
        label=_("Crew"), choices=[], empty_label=_("all"), method="with_crew"
    )
    property = django_filters.ChoiceFilter(
        label=_("Property"), choices=[], empty_label=_("all"), field_name="property__ref"
    )
    lines = django_filters.ChoiceFilter(
        label=_("Lines"), choices=[("none", _("none"))], empty_label=_("all"), method="with_lines"
    )
    since = django_filters.DateFilter(field_name="day", lookup_expr="gte", **_day(_("From")))
    until = django_filters.DateFilter(field_name="day", lookup_expr="lte", **_day(_("To")))

    class Meta:
        model = Job
        fields: list[str] = []

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = self.queryset.order_by()
        crews = rows.filter(crew__isnull=False).values_list("crew__ref", "crew__name")
        self.filters["crew"].extra["choices"] = [
            (NOBODY, _("nobody yet")),
            *crews.distinct().order_by("crew__name", "crew__ref"),
        ]
        places = rows.values_list("property__ref", "property__code").distinct()
        self.filters["property"].extra["choices"] = list(
            places.order_by("property__code", "property__ref")
        )

    def word(self, word: str) -> Q:
        """Match the property, the fault, the crew, the notes and the job's reference."""
        return (
            Q(property__code__icontains=word)
            | Q(fault__key__icontains=word)
            | Q(crew__name__icontains=word)
            | Q(notes__icontains=word)
            | Q(ref__iexact=word)
        )

    def with_state(self, rows: QuerySet[Job], _name: str, value: str) -> QuerySet[Job]:
        """Keep jobs in one state, or all that are planned or under way."""
        return rows.filter(state__in=OPEN_JOB_STATES if value == "open" else [value])

    def with_lines(self, rows: QuerySet[Job], _name: str, _value: str) -> QuerySet[Job]:
        """Keep jobs of which no line stands."""
        return rows.exclude(pk__in=JobLine.objects.standing().values("job"))

    def with_crew(self, rows: QuerySet[Job], _name: str, value: str) -> QuerySet[Job]:
        """Keep jobs of one crew, or those that nobody has."""
        return rows.filter(crew__isnull=True) if value == NOBODY else rows.filter(crew__ref=value)


class JobLineFilter(ListFilter):
    """Lines by text, who pays, property, client and days."""

    text_fields: tuple[str, ...] = ("what", "job__property__code", "job__ref")

    basis = django_filters.ChoiceFilter(
        label=_("Who pays"), choices=LineBasis.choices, empty_label=_("all")
    )
    client = django_filters.ChoiceFilter(
        label=_("Client"), choices=[], empty_label=_("all"), field_name="job__property__client__ref"
    )
    property = django_filters.ChoiceFilter(
        label=_("Property"), choices=[], empty_label=_("all"), field_name="job__property__ref"
    )
    since = django_filters.DateFilter(field_name="on", lookup_expr="gte", **_day(_("From")))
    until = django_filters.DateFilter(field_name="on", lookup_expr="lte", **_day(_("To")))

    class Meta:
        model = JobLine
        fields: list[str] = []

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = self.queryset.order_by()
        for name, known_by in (("client", "client__name"), ("property", "code")):
            step = "job__property__" + ("client__" if name == "client" else "")
            word = f"job__property__{known_by}"
            found = rows.values_list(f"{step}ref", word).distinct()
            self.filters[name].extra["choices"] = list(found.order_by(word, f"{step}ref"))
