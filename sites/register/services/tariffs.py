"""Verbs on what water and work cost: changed from a day, or was wrong."""

from collections.abc import Mapping
from datetime import date

from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.dated import change_from, correct, last_row, row_before, take_back
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Property, Tariff


class UnableToPrice(UnableToAct):
    """A price without what it is for."""


def tariff_now(place: Property) -> Tariff | None:
    """Return the tariff that holds."""
    return last_row(place.tariffs)


@verb(
    name="change a property's tariff from a day",
    action=Action.SET_AUTHORITY,
    guard="a day that has come, later than the first day of what holds; a water price says for "
    "how much water",
    undo="take back a change of a tariff",
)
def change_tariff(
    *, place: Property, values: Mapping[str, object], on: date, today: date
) -> Tariff:
    """Let other prices hold from a day on."""
    _refuse_prices(values)
    return change_from(Tariff(property=place), tariff_now(place), on=on, values=values, today=today)


@verb(
    name="correct a tariff",
    action=Action.SET_AUTHORITY,
    guard="what was wrong, in words; a water price says for how much water",
    undo="correct it again, with the values that its history shows",
)
def correct_tariff(*, tariff: Tariff, values: Mapping[str, object], why: str) -> None:
    """Put prices right for all the days that they hold."""
    _refuse_prices(values)
    correct(tariff, values=values, why=why)


@verb(
    name="take back a change of a tariff",
    action=Action.SET_AUTHORITY,
    guard="what was wrong, in words; there is a change",
    undo="change the tariff from the same day again",
)
def take_back_tariff(*, place: Property, why: str) -> None:
    """Undo the latest change: the prices before it hold again."""
    now = tariff_now(place)
    take_back(now, row_before(place.tariffs, now), why=why)


def _refuse_prices(values: Mapping[str, object]) -> None:
    if values.get("water_price") is not None and not values.get("price_unit"):
        raise UnableToPrice(_("For how much water is this price?"), field="price_unit")
