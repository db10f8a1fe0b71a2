"""The filter of searches."""

import django_filters
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from faults.models import Search, SearchOutcome
from sites.register.forms.lists import ListFilter


class SearchFilter(ListFilter):
    """Searches by text and outcome."""

    text_fields = ("fault__key", "fault__property__code", "station__name", "why")

    outcome = django_filters.ChoiceFilter(
        label=_("Outcome"),
        choices=[("open", _("goes on")), *SearchOutcome.choices],
        empty_label=_("all"),
        method="with_outcome",
    )

    class Meta:
        model = Search
        fields: list[str] = []

    def with_outcome(self, rows: QuerySet[Search], _name: str, value: str) -> QuerySet[Search]:
        """Keep searches that ended so, or those that go on."""
        return rows.filter(outcome="" if value == "open" else value)
