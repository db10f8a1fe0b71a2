"""The filter of whose move it is."""

from typing import Any

import django_filters
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from faults.models import MOVER_CHOICES, WAITS_ON_CHOICES, Wait
from faults.waits.queries.moves import properties_that_wait
from sites.models import Property, User
from sites.register.forms.lists import ListFilter, station_word


class MovesFilter(ListFilter):
    """Waits by whose move it is, what they wait on, client, property and text."""

    mover = django_filters.ChoiceFilter(
        label=_("Whose move"), choices=MOVER_CHOICES, empty_label=_("all")
    )
    waits_on = django_filters.ChoiceFilter(
        label=_("Waits on"), choices=WAITS_ON_CHOICES, empty_label=_("all")
    )
    client = django_filters.ChoiceFilter(
        label=_("Client"),
        field_name="station__controller__property__client__ref",
        empty_label=_("all"),
    )
    property = django_filters.ChoiceFilter(
        label=_("Property"), field_name="station__controller__property__ref", empty_label=_("all")
    )

    class Meta:
        model = Wait
        fields: list[str] = []

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        places: list[Property] = list(properties_that_wait(user))
        clients = {place.client.ref: place.client.name for place in places}
        by_name = sorted(clients.items(), key=lambda each: each[1])
        self.filters["client"].extra["choices"] = by_name
        self.filters["property"].extra["choices"] = [(place.ref, place.code) for place in places]

    def word(self, word: str) -> Q:
        """Match what a station or its fault is known by."""
        return station_word(word, "station__") | Q(fault__key__icontains=word)
