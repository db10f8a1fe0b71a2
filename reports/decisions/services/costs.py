"""What renewing costs at a property: kept, and dropped again."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from reports.models import RenewalCosts
from sites.kernel.access import may_everywhere
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Cover, Property, User

PAVED = {Cover.PAVING.value, Cover.ROAD.value}


class UnableToKeepCosts(UnableToAct):
    """They cannot be kept so."""


@dataclass(frozen=True)
class Costs:
    """Of renewing, in one currency.

    Args:
        per_foot: of a leg; `per_foot_paved` below paving or a road, None = the same.
        fixed: once for each property where any leg is renewed.
    """

    per_foot: float
    per_foot_paved: float | None
    fixed: float

    def of(self, feet: float, cover: str) -> float:
        """Return what renewing so many feet costs, without what is shared."""
        if cover in PAVED and self.per_foot_paved is not None:
            return feet * self.per_foot_paved
        return feet * self.per_foot


def kept_costs(places: Collection[Property]) -> dict[int, Costs]:
    """Return what is kept, by the key of each property: its own, else that of all; or nothing."""
    rows = {row.property_id: row for row in RenewalCosts.objects.order_by("pk")}
    found = {place.pk: rows.get(place.pk, rows.get(None)) for place in places}
    return {key: _costs(row) for key, row in found.items() if row is not None}


def _costs(row: RenewalCosts) -> Costs:
    paved = None if row.per_foot_paved is None else float(row.per_foot_paved)
    return Costs(float(row.per_foot), paved, float(row.fixed))


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
    fixed: Decimal,
    by: User,
    today: date,
) -> RenewalCosts:
    """Keep what renewing costs at a property, or at all that have no costs of their own."""
    if costs_place is None and not may_everywhere(by, Action.DECIDE):
        raise UnableToKeepCosts(_("Choose one of your properties."), field="place")
    for name, cost in (
        ("per_foot", per_foot),
        ("per_foot_paved", per_foot_paved),
        ("fixed", fixed),
    ):
        if cost is not None and cost < 0:
            raise UnableToKeepCosts(_("A cost is not below 0."), field=name)
    held = RenewalCosts.objects.select_for_update().filter(property=costs_place).first()
    row = held or RenewalCosts(property=costs_place)
    row.per_foot, row.per_foot_paved, row.fixed = per_foot, per_foot_paved, fixed
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
