"""The filter of the list of rounds."""

from typing import Any

import django_filters
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from faults.models import PURPOSE_CHOICES, Round, RoundStop
from sites.register.forms.lists import ListFilter


class RoundFilter(ListFilter):
    """Rounds by name or property, purpose, and whether they go on."""

    purpose = django_filters.ChoiceFilter(
        label=_("What for"), choices=PURPOSE_CHOICES, empty_label=_("all")
    )
    state = django_filters.ChoiceFilter(
        label=_("State"),
        choices=[("running", _("going on")), ("ended", _("ended"))],
        empty_label=_("all"),
        method="with_state",
    )

    class Meta:
        model = Round
        fields: list[str] = []

    def word(self, word: str) -> Q:
        """Match the name, and the properties that it goes to."""
        stops = RoundStop.objects.filter(property__code__icontains=word, taken_out_on=None)
        return Q(name__icontains=word) | Q(pk__in=stops.values("round"))

    def with_state(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        """Keep those that go on, or those that have ended."""
        return rows.filter(ended_on__isnull=value == "running")
