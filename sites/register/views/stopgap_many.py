"""What may be done to many stopgaps at once: end them, a file."""

from typing import Any

from django.db.models import QuerySet
from django.http import QueryDict
from django.urls import reverse
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from sites.kernel.access import stopgaps_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.many import Named
from sites.kernel.views.acts import Act, Look
from sites.kernel.views.many import ManyView
from sites.models import Stopgap, User
from sites.register.forms.lists import StopgapFilter
from sites.register.forms.many import EndManyForm
from sites.register.queries.stations import stopgaps_listed
from sites.stopgaps.services.stopgaps import reopen_stopgap
from sites.stopgaps.views import WITH_PLACE, StopgapEnd


class _EndOne(StopgapEnd):
    """The ticked one alone: those of the same timer are lines of their own."""

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        return {**data, "stopgaps": [self.row], "today": self.today}

    def get_done(self) -> str:
        return str(self.done)


def _reopen(row: Stopgap, _kept: dict[str, Any], _by: User) -> None:
    reopen_stopgap(stopgap=row, why=_now("taken back"))


class StopgapMany(ManyView[Stopgap]):
    """Stopgaps that are ticked in their list."""

    asks_for = Action.SEE_OFF_CENTRAL
    list_page, many_page = "sites:stopgaps", "sites:stopgap_many"
    acts = {
        "stopgap_end": Act(
            _EndOne,
            button=_("End"),
            heading=lambda n: ngettext("End %(n)s stopgap", "End %(n)s stopgaps", n) % {"n": n},
            said=lambda n: ngettext("%(n)s stopgap ended.", "%(n)s stopgaps ended.", n) % {"n": n},
            undo=_reopen,
            form_class=EndManyForm,
        ),
    }
    looks = {"stopgap_csv": Look("CSV", "sites:stopgaps", {"export": "csv"})}

    @classmethod
    def rows_for(cls, user: User, action: Action) -> QuerySet[Stopgap]:
        return stopgaps_for(user, action).select_related(*WITH_PLACE)

    def matching(self, asked: QueryDict) -> QuerySet[Stopgap]:
        found: QuerySet[Stopgap] = StopgapFilter(
            asked, queryset=stopgaps_listed(self.request.user)
        ).qs
        return found.order_by("-counted_from", "pk")

    @classmethod
    def named(cls, row: Stopgap) -> Named[Stopgap]:
        station = row.station
        words = f"{station.controller.property.code}: {station}, {row.get_kind_display()}"
        return Named(row, words, reverse("sites:stopgap", args=[row.ref]))
