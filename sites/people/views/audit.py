"""The log of what matters, for who manages people everywhere; and which roles need a factor."""

import django_tables2 as tables
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from sites.kernel.access import SignedInRequest, may_everywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.paging import arrange
from sites.kernel.tables import LEAD, PLAIN, SheetTable
from sites.kernel.views.table_files import table_file, wanted_file
from sites.kernel.views.verb_views import Crumbs, VerbView
from sites.people.forms import AuditFilter, RolesForm
from sites.people.queries import log_for
from sites.people.services.factor_rules import people_without, roles_asking, set_roles_asking


class AuditTable(SheetTable):
    """Lines of the log."""

    at = tables.DateTimeColumn(verbose_name=_("When"), attrs=LEAD, format="Y-m-d H:i:s")
    event = tables.Column(verbose_name=_("What"), attrs=PLAIN)
    by_name = tables.Column(verbose_name=_("Who"))
    about = tables.Column(verbose_name=_("About"))
    detail = tables.Column(verbose_name=_("Detail"))
    address = tables.Column(verbose_name=_("Address"))
    device = tables.Column(verbose_name=_("Device"))

    class Meta(SheetTable.Meta):
        order_by = ("-at",)
        per_page = 50


@page_for(Action.MANAGE_PEOPLE)
def audit(request: SignedInRequest) -> HttpResponse:
    """Show who got in, who may what, and what left, filtered; or as a file."""
    if not may_everywhere(request.user, Action.MANAGE_PEOPLE):
        raise PermissionDenied
    filtered = AuditFilter(request.GET, queryset=log_for(request.user))
    table = AuditTable(filtered.qs)
    heading = str(_("Log of what matters"))
    table.caption = heading
    ordered = arrange(request, table)
    if kind := wanted_file(request):
        table.data.data = ordered
        return table_file(table, heading=heading, kind=kind)
    return render(request, "sites/people/audit.html", {"filter": filtered, "table": table})


class RolesNeedFactor(VerbView[None]):
    """Say which roles need a second factor."""

    verb = set_roles_asking
    asks_again = True
    form_class = RolesForm
    heading = _("Second factor by role")
    lead = _(
        "Who has one of these roles gives a code of the phone after the password, and sets that up "
        "first. It holds for everybody within five minutes."
    )

    def find(self) -> None:
        if not may_everywhere(self.user, Action.MANAGE_PEOPLE):
            raise PermissionDenied

    def get_form(self) -> RolesForm:
        return RolesForm(self.posted, initial={"roles": roles_asking()})

    def get_caution(self) -> str:
        count = people_without(roles_asking())
        return str(_("People of these roles without a second factor yet: %d.") % count)

    def get_back(self) -> str:
        return reverse("sites:people")

    def get_crumbs(self) -> Crumbs:
        return [(self.get_back(), _("People"))]
