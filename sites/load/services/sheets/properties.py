"""Sheet properties: places, their clients and what water and work cost there."""

import re
import zoneinfo
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from sites.cells.engines.measures import TEMPERATURE, Dimension
from sites.cells.engines.plain_words import same_name
from sites.cells.engines.raw import Cell
from sites.cells.services.columns import Choice, Manner, Measure, Text, plain_text, words_for
from sites.cells.services.day_columns import Day
from sites.cells.services.refusals import Unreadable
from sites.load.services.load import Load, PlannedKind
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.common import LATITUDE, LONGITUDE, NOTES, REF
from sites.models import Client, PriceUnit, Property, Tariff, Units

_PRICE_WORDS = words_for(
    [unit.value for unit in PriceUnit],
    kgal="1000 gal|1,000 gallons|1000 gallons|kgals|thousand gallons|1k gal|tgal",
    HCF="ccf|100 cu ft|100 cubic feet|100 cf|hundred cubic feet",
    m3="cubic metre|cubic meter|cbm|metro cubico|m³",
)
_PER = {f"{sign}/{unit}": (1.0, 0.0) for sign in ("$", "€", "£", "") for unit in _PRICE_WORDS}
PRICE = Dimension("", "1", "1", {"1": (1.0, 0.0), "$": (1.0, 0.0), **_PER})
RATE = Dimension(
    "",
    "1",
    "1",
    dict.fromkeys(("1", "$", "$/h", "$/hr", "$/hour", "perhour", "/h", "/hr", "€/h"), (1.0, 0.0)),
)
_SEASON = re.compile(r"(\d{1,2})[-/.](\d{1,2})")


class Zone(Text):
    """The name of a time zone."""

    def read(self, cell: Cell, manner: Manner, unit: str) -> str:
        """Return the name where the zone is known."""
        name = plain_text(cell).replace(" ", "_")
        if name not in zoneinfo.available_timezones():
            raise Unreadable(_("This time zone is not known. Write for example America/Phoenix."))
        return name


class MonthDay(Text):
    """A day of every year, as month-day."""

    def read(self, cell: Cell, manner: Manner, unit: str) -> str:
        """Return it as "03-15"."""
        text = plain_text(cell)
        found = _SEASON.fullmatch(text[5:] if re.match(r"\d{4}-", text) else text)
        if not found or not (1 <= int(found[1]) <= 12 and 1 <= int(found[2]) <= 31):
            raise Unreadable(_("Expected month and day. Write for example 03-15 for 15 March."))
        return f"{int(found[1]):02d}-{int(found[2]):02d}"


@dataclass(frozen=True, slots=True)
class Money(Measure):
    """An amount, kept exactly as far as the table keeps it."""

    kept: Decimal = Decimal("0.01")

    def read(self, cell: Cell, manner: Manner, unit: str) -> Decimal:  # type: ignore[override]
        """Return the amount."""
        amount = super(Money, self).read(cell, manner, unit)
        return Decimal(repr(amount)).quantize(self.kept)


def _called(place: Property, *_others: object) -> str:
    return place.name or place.code


COLUMNS = (
    REF,
    Text("property code", also="code|property id|site code", required=True, name=True,
         attribute="code", longest=60),
    Text("property", also="property name|name|site|site name", required=True, attribute="name",
         shows=_called),
    Text("client", also="customer|client name|owner|account|cliente", required=True,
         shows="client.name"),
    Text("address", also="street address|site address|direccion", attribute="address", longest=200),
    LATITUDE,
    LONGITUDE,
    Zone("time zone", also="timezone|tz", attribute="time_zone", longest=64),
    Choice(
        "units",
        also="unit system|system",
        attribute="units",
        words=words_for([unit.value for unit in Units], US="imperial|feet|ft|us customary",
                        metric="si|metres|meters|m"),
    ),
    Text("kind", also="property kind|property type|type|kind of place", attribute="kind",
         longest=60),
    Text("soil", also="soil type", attribute="soil", longest=60),
    Day("records since", also="records from|known since", attribute="records_since"),
    Money("water price", also="water cost|price of water|water rate", attribute="water_price",
            dimension=PRICE, kept=Decimal("0.0001")),
    Choice("price unit", also="water unit|price per|per", attribute="price_unit",
           words=_PRICE_WORDS),
    Money("labour rate", also="labor rate|hourly rate", attribute="labour_rate", dimension=RATE),
    Money("standby rate", also="stand by rate", attribute="standby_rate", dimension=RATE),
    Text("notice region", also="region|utility notice region", attribute="notice_region",
         longest=60),
    Text("climate table", also="weather table|eto table", attribute="climate_table", longest=60),
    Measure("coldest ground", also="coldest soil", attribute="ground_coldest_f",
            dimension=TEMPERATURE, least=-60.0, most=200.0),
    Measure("warmest ground", also="warmest soil", attribute="ground_warmest_f",
            dimension=TEMPERATURE, least=-60.0, most=200.0),
    MonthDay("season start", also="season starts|start up", attribute="season_start", longest=5),
    MonthDay("season end", also="season ends|shut down", attribute="season_end", longest=5),
    NOTES,
)  # fmt: skip
TARIFF = ("water price", "price unit", "labour rate", "standby rate")


def plan(load: Load, sheet: Sheet) -> None:
    """Plan the properties, their clients and their open tariffs."""
    tariffs = {row.property_id: row for row in load.book.rows_of(Tariff, "property_id")
               if row.to_on is None}  # fmt: skip
    for row, known, _found in load.matched(sheet, load.book.properties, _key):
        client = client_named(load, row)
        if client is None:
            continue
        what = row.text("property code")
        place = known or new_property(load, row, code=what, client=client)
        if place is None:
            continue
        if known is None:
            row.add(what)
        load.refer(row, place, "client", client, what=what)
        if not place.name and same_name(row.text("property")) == same_name(place.code):
            # A full name that says no more than the code is none.
            row.cells.pop("property")
        old_name = place.name
        load.copy(row, place, what)
        if known is None or place.name != old_name:
            tell_double(load, row, place)
        _plan_tariff(load, row, place, tariffs.get(place.pk), what)


def new_property(load: Load, row: Row, *, code: str, client: Client) -> Property | None:
    """Make a property, where the user may add any."""
    if not load.book.scope.may_add_properties:
        row.problem(
            "property code" if "property code" in row.sheet.columns else "property",
            _("There is no such property among yours. Correct the code, or add the property."),
        )
        return None
    place = Property(code=code[:60], client=client)
    if load.answers.units:
        place.units = load.answers.units
    load.work.create(place)
    load.book.properties.put(place, same_name(code))
    return place


def tell_double(load: Load, row: Row, place: Property) -> None:
    """Remark on another property of the same client that goes by the same name."""
    called = _called(place)
    for other in load.book.called(called):
        if other is not place and other.client is place.client:
            row.remark(
                _(
                    "%(client)s has a property %(other)s that is called '%(name)s' as well. If "
                    "both are one place, write the code %(other)s here."
                )
                % {"client": place.client.name, "other": other.code, "name": called}
            )
    load.book.keep_called(place, called)


def client_named(load: Load, row: Row, name: str = "") -> Client | None:
    """Return the row's client, made new where the user may add any."""
    name = name or row.get("client") or ""
    client = load.book.clients.find(same_name(name))
    if client is None and name and not load.book.scope.may_add_properties:
        row.problem("client", _("There is no such client among yours. Correct the name."))
        return None
    if client is None and name:
        client = Client(name=name)
        load.work.create(client)
        load.book.clients.put(client, same_name(name))
    return client


def _key(row: Row) -> str:
    return same_name(row.text("property code"))


def _plan_tariff(load: Load, row: Row, place: Property, tariff: Tariff | None, what: str) -> None:
    if not any(name in row.cells for name in TARIFF):
        return
    if tariff is None:
        tariff = Tariff(property=place)
        load.work.create(tariff)
    load.copy(row, tariff, what, only=TARIFF)
    if tariff.water_price is not None and not tariff.price_unit:
        unit = PriceUnit.M3 if place.units == Units.METRIC else PriceUnit.KGAL
        load.work.change(tariff, "price_unit", _unit_of_heading(row) or unit.value)


def _unit_of_heading(row: Row) -> str:
    matched = row.sheet.columns.get("water price")
    unit = matched.unit.rpartition("/")[2] if matched else ""
    return _PRICE_WORDS.get(unit.casefold().replace(" ", ""), "")


KIND = PlannedKind(
    "properties",
    COLUMNS,
    plan=plan,
    also="property|sites|site list|property list|propiedades|places",
    model=Property,
)
