"""Filters of the pages that combine."""

from typing import Any

import django_filters
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from faults.models import MOVER_CHOICES, WAITS_ON_CHOICES
from sites.models import REASON_CHOICES, Property, SpellPart, StopgapKind
from sites.register.forms.lists import ListFilter, station_word
from sites.templatetags.water import LACK_WORDS


class OffCentralFilter(ListFilter):
    """Stations off central control by text, reason, what stands in, fault, and their wait."""

    reason = django_filters.ChoiceFilter(
        label=_("Reason"), choices=REASON_CHOICES, empty_label=_("all")
    )
    kind = django_filters.ChoiceFilter(
        label=_("What stands in"),
        field_name="stopgap__kind",
        choices=[
            choice for choice in StopgapKind.choices if choice[0] not in ("surface wire", "doubled")
        ],
        empty_label=_("all"),
    )
    fault = django_filters.ChoiceFilter(
        label=_("Fault"),
        choices=[("open", _("open")), ("none", _("none open"))],
        empty_label=_("all"),
        method="with_fault",
    )
    mover = django_filters.ChoiceFilter(
        label=_("Whose move"),
        field_name="station__wait__mover",
        choices=MOVER_CHOICES,
        empty_label=_("all"),
    )
    waits = django_filters.ChoiceFilter(
        label=_("Waits on"),
        field_name="station__wait__waits_on",
        choices=WAITS_ON_CHOICES,
        empty_label=_("all"),
    )

    class Meta:
        model = SpellPart
        fields: list[str] = []

    def word(self, word: str) -> Q:
        """Match what a station is known by."""
        return station_word(word, "station__")

    def with_fault(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        """Filter to stations that are being worked on, or to those that are not."""
        return rows.filter(fault_ref__isnull=value == "none")


class OffCentralOnFilter(OffCentralFilter):
    """Stations off central on a past day: what nobody kept for it cannot be filtered by."""

    fault = None
    mover = None
    waits = None


class PropertyExcessFilter(ListFilter):
    """Properties with stations off central, by text."""

    class Meta:
        model = Property
        fields: list[str] = []

    def word(self, word: str) -> Q:
        """Match what a property is known by."""
        return Q(code__icontains=word) | Q(client__name__icontains=word)


class MissingFilter(ListFilter):
    """Stations whose water is not known, by text and by what is missing."""

    lacks = django_filters.ChoiceFilter(
        label=_("What is missing"),
        field_name="spell__meter__lacks",
        lookup_expr="contains",
        choices=list(LACK_WORDS.items()),
        empty_label=_("all"),
    )

    class Meta:
        model = SpellPart
        fields: list[str] = []

    def word(self, word: str) -> Q:
        """Match what a station is known by."""
        return station_word(word, "station__")
