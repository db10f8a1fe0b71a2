"""What renewing costs at a property: kept, and dropped again."""

from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from reports.models import RenewalCosts
from sites.kernel.access import may_everywhere
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Property, User


class UnableToKeepCosts(UnableToAct):
    """They cannot be kept so."""


@verb(
    name="keep what renewing costs",
    action=Action.DECIDE,
    guard="no cost below 0; for all properties only who may everywhere; what was kept there "
    "before stays in its history",
    undo="drop what renewing costs",
)
def keep_renewal_costs(
    *,
    costs_place: Property | None,
    per_foot: Decimal,
    per_foot_paved: Decimal | None,
    per_foot_ploughed: Decimal | None,
    per_foot_pulled: Decimal | None,
    fixed: Decimal,
    by: User,
    today: date,
) -> RenewalCosts:
    """Keep what renewing costs at a property, or at all that have no costs of their own."""
    if costs_place is None and not may_everywhere(by, Action.DECIDE):
        raise UnableToKeepCosts(_("Choose one of your properties."), field="place")
    given = {
        "per_foot": per_foot,
        "per_foot_paved": per_foot_paved,
        "per_foot_ploughed": per_foot_ploughed,
        "per_foot_pulled": per_foot_pulled,
        "fixed": fixed,
    }
    for name, cost in given.items():
        if cost is not None and cost < 0:
            raise UnableToKeepCosts(_("A cost is not below 0."), field=name)
    held = RenewalCosts.objects.select_for_update().filter(property=costs_place).first()
    row = held or RenewalCosts(property=costs_place)
    for name, cost in given.items():
        setattr(row, name, cost)
    row.kept_on, row.kept_by = today, by
    row.save()
    return row


@verb(
    name="drop what renewing costs",
    action=Action.DECIDE,
    guard="those of all properties only who may everywhere",
    undo="keep what renewing costs",
)
def drop_renewal_costs(*, costs: RenewalCosts, by: User) -> None:
    """Keep nothing there any more: the costs of all properties count, or none."""
    if costs.property_id is None and not may_everywhere(by, Action.DECIDE):
        raise UnableToKeepCosts(_("Only who may decide on all properties drops these."))
    costs.delete()
