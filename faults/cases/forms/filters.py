"""Filters of faults."""

import django_filters
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from faults.models import CLOSED_STAGES, STAGE_CHOICES, Cause, Fault, Symptom
from sites.register.forms.lists import ListFilter


class FaultFilter(ListFilter):
    """Faults by text, stage, symptom and cause."""

    stage = django_filters.ChoiceFilter(
        label=_("Stage"),
        choices=[("open", _("all open")), *STAGE_CHOICES],
        empty_label=_("all"),
        method="with_stage",
    )
    symptom = django_filters.ChoiceFilter(
        label=_("Symptom"), choices=Symptom.choices, empty_label=_("all")
    )
    cause = django_filters.ChoiceFilter(
        label=_("Cause"), choices=Cause.choices, empty_label=_("all"), method="with_cause"
    )

    class Meta:
        model = Fault
        fields: list[str] = []

    def word(self, word: str) -> Q:
        """Match the fault's key, its summary and its property."""
        return (
            Q(key__icontains=word) | Q(summary__icontains=word) | Q(property__code__icontains=word)
        )

    def with_stage(self, rows: QuerySet[Fault], _name: str, value: str) -> QuerySet[Fault]:
        """Keep faults of one stage, or all that are open."""
        return (
            rows.exclude(stage__in=CLOSED_STAGES) if value == "open" else rows.filter(stage=value)
        )

    def with_cause(self, rows: QuerySet[Fault], _name: str, value: str) -> QuerySet[Fault]:
        """Keep faults with a break from that cause."""
        return rows.filter(breaks__cause=value).distinct()
