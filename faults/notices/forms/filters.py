"""Filters of notices."""

import django_filters
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from faults.models import Notice
from faults.notices.queries import UNSETTLED
from sites.register.forms.lists import ListFilter

STATES = [
    ("standing", _("not cancelled")),
    ("unsettled", _("operators have not answered")),
    ("unprinted", _("printed days not typed in")),
    ("cancelled", _("cancelled")),
]


class NoticeFilter(ListFilter):
    """Notices by text and by what is still open about them."""

    state = django_filters.ChoiceFilter(
        label=_("Which"), choices=STATES, empty_label=_("all"), method="with_state"
    )

    class Meta:
        model = Notice
        fields: list[str] = []

    def word(self, word: str) -> Q:
        """Match the ticket, where the dig is, the fault and the property."""
        return (
            Q(ticket__icontains=word)
            | Q(area__icontains=word)
            | Q(fault__key__icontains=word)
            | Q(property__code__icontains=word)
        )

    def with_state(self, rows: QuerySet[Notice], _name: str, value: str) -> QuerySet[Notice]:
        """Keep notices of one kind."""
        standing = rows.filter(cancelled_on__isnull=True)
        return {
            "standing": standing,
            "unsettled": standing.filter(operators__state__in=UNSETTLED).distinct(),
            "unprinted": standing.filter(
                Q(printed_start_on__isnull=True) | Q(printed_expiry_on__isnull=True)
            ),
            "cancelled": rows.filter(cancelled_on__isnull=False),
        }[value]
