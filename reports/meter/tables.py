"""Tables of what staying off central control costs."""

from collections.abc import Mapping
from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from reports.off_central.tables.cells import known_first
from reports.off_central.tables.today import AT_LEAST, meter_of
from sites.kernel.links import page_of
from sites.kernel.tables import LEAD, PLAIN, RIGHT, SheetTable
from sites.models import Property, SpellPart
from sites.register.tables import property_link, station_link
from sites.templatetags.register import since
from sites.templatetags.water import LACK_WORDS, PRICE, cents, least, volume
from sites.water.engines.inputs import Lacks
from sites.water.engines.money import to_cents
from sites.water.services.fact_sheet import ENDS

FACTS = "sites:station_facts"
WHERE_TO_SAY = {
    Lacks.SCHEDULE.value: ("sites:station_schedule", False),
    Lacks.DAYS.value: ("sites:station_schedule", False),
    Lacks.FLOW.value: (FACTS, False),
    Lacks.AREA.value: (FACTS, False),
    Lacks.PLANT_FACTOR.value: (FACTS, False),
    Lacks.EFFICIENCY.value: (FACTS, False),
    Lacks.CLIMATE.value: ("sites:property_climate", True),
    Lacks.MAIN.value: ("sites:station_main_valve", False),
    PRICE: ("sites:property_tariff", True),
}


class PropertyExcessTable(SheetTable):
    """Properties with what their stations off central control have cost so far."""

    caption: Any = _("What staying off central control costs")

    code = tables.Column(verbose_name=_("Property"), attrs=LEAD)
    off_total = tables.Column(verbose_name=_("Off central"), attrs=RIGHT)
    excess_gal = tables.Column(verbose_name=_("Excess water"), empty_values=(), attrs=RIGHT)
    month_excess_gal = tables.Column(
        verbose_name=_("Excess this month"), empty_values=(), attrs=RIGHT
    )
    shortfall_gal = tables.Column(verbose_name=_("Shortfall"), empty_values=(), attrs=RIGHT)
    cost = tables.Column(verbose_name=_("It costs"), empty_values=(), attrs=RIGHT)
    currency = tables.Column(accessor="pk", verbose_name=_("Currency"), orderable=False)
    least = tables.Column(accessor="pk", verbose_name=_("At least"), orderable=False)
    unknown_total = tables.Column(verbose_name=_("Stations not known"), attrs=RIGHT)

    class Meta(SheetTable.Meta):
        order_by = ("-excess_gal",)

    def __init__(
        self,
        *args: Any,
        sees_prices: bool,
        currencies: Mapping[int, str],
        is_file: bool = False,
        exclude: Any = (),
        **kwargs: Any,
    ) -> None:
        self.currencies = currencies
        left_out = (*exclude, *(() if sees_prices else ("cost", "currency")))
        left_out += () if is_file else ("currency", "least")
        super().__init__(*args, exclude=left_out, **kwargs)

    def order_excess_gal(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        """What is not known comes last."""
        return known_first(rows, "excess_gal", is_descending), True

    def order_month_excess_gal(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        """What is not known comes last."""
        return known_first(rows, "month_excess_gal", is_descending), True

    def order_shortfall_gal(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        """What is not known comes last."""
        return known_first(rows, "shortfall_gal", is_descending), True

    def order_cost(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        """What is not known comes last."""
        return known_first(rows, "cost", is_descending), True

    def render_code(self, record: Property) -> SafeString:
        """Link to what it costs there."""
        url = page_of("reports:property_water", record.ref)
        return format_html('<a href="{}">{}</a>', url, record.code)

    def render_excess_gal(self, record: Any) -> str:
        """At least so much, where some stations are not known."""
        return _sum_words(record, record.excess_gal)

    def render_month_excess_gal(self, record: Any) -> str:
        """At least so much, where some stations are not known."""
        return _sum_words(record, record.month_excess_gal)

    def render_shortfall_gal(self, record: Any) -> str:
        """At least so much, where some stations are not known."""
        return _sum_words(record, record.shortfall_gal)

    def render_cost(self, record: Any) -> str:
        """At least so much, where some stations are not known."""
        words = cents(record.cost, self.currencies.get(record.pk, ""))
        return least(words, _is_least(record))

    def value_excess_gal(self, record: Any) -> float | str:
        """A number; not known is an empty cell."""
        return _number(record.excess_gal)

    def value_month_excess_gal(self, record: Any) -> float | str:
        """A number; not known is an empty cell."""
        return _number(record.month_excess_gal)

    def value_shortfall_gal(self, record: Any) -> float | str:
        """A number; not known is an empty cell."""
        return _number(record.shortfall_gal)

    def value_cost(self, record: Any) -> float | str:
        """To the cent; not known is an empty cell."""
        return "" if record.cost is None else float(to_cents(record.cost))

    def value_currency(self, record: Any) -> str:
        """In which currency it costs; empty where it is not known what."""
        return "" if record.cost is None else self.currencies.get(record.pk, "")

    def value_least(self, record: Any) -> str:
        """Mark a row whose sums may be more."""
        return AT_LEAST if _is_least(record) else ""

    def value_unknown_total(self, record: Any) -> int:
        """How many."""
        return int(record.unknown_total)

    def render_unknown_total(self, record: Any, value: int) -> SafeString | int:
        """Lead to what is missing."""
        if not value:
            return 0
        url = f"{reverse('reports:water_missing')}?q={record.code}"
        return format_html('<a href="{}">{}</a>', url, value)


class MissingTable(SheetTable):
    """Stations off central control whose water is not known, and where to say what is missing."""

    station = tables.Column(
        verbose_name=_("Station"),
        order_by=("station__controller__name", "station__number"),
        attrs=LEAD,
    )
    property = tables.Column(
        attrs=PLAIN,
        accessor="station__controller__property",
        verbose_name=_("Property"),
        order_by="station__controller__property__code",
    )
    since = tables.Column(
        accessor="spell__from_on", verbose_name=_("Off since"), order_by="spell__from_on"
    )
    months = tables.Column(
        accessor="spell__meter__months",
        verbose_name=_("Months not known"),
        order_by="spell__meter__months",
        attrs=RIGHT,
    )
    lacks = tables.Column(
        accessor="spell__meter__lacks",
        verbose_name=_("What is missing"),
        order_by="spell__meter__lacks",
        attrs=PLAIN,
    )

    class Meta(SheetTable.Meta):
        order_by = ("property", "station")

    def __init__(self, *args: Any, may_say: bool, **kwargs: Any) -> None:
        self.may_say = may_say
        super().__init__(*args, **kwargs)

    def render_station(self, record: SpellPart) -> SafeString:
        """Link the station."""
        return station_link(record.station)

    def render_property(self, record: SpellPart) -> SafeString:
        """Link the property, and its sheet where all of it can be said at once."""
        place = record.station.controller.property
        if not self.may_say:
            return property_link(place)
        sheet = format_html(
            '<a href="{}">{}<span class="visually-hidden"> {}</span></a>',
            page_of("sites:missing_facts", place.ref),
            _("as a sheet"),
            place,
        )
        return format_html('{} <span class="small">{}</span>', property_link(place), sheet)

    def render_since(self, record: SpellPart) -> str:
        """Write the first day."""
        return since(record.spell.from_on, record.spell.from_is_exact)

    def render_months(self, record: SpellPart) -> str:
        """How many of how many."""
        meter = meter_of(record)
        return "" if meter is None else f"{meter.months - meter.months_known} / {meter.months}"

    def value_months(self, record: SpellPart) -> int | str:
        """How many."""
        meter = meter_of(record)
        return "" if meter is None else meter.months - meter.months_known

    def render_lacks(self, record: SpellPart, value: str) -> SafeString | str:
        """Lead to the form on which it can be said."""
        if not self.may_say:
            return ", ".join(lack_words(each, record) for each in value.split(";"))
        return format_html_join(
            ", ", "{}", ((lack_link(each, record),) for each in value.split(";"))
        )

    def value_lacks(self, record: SpellPart) -> str:
        """In words."""
        lacks = getattr(meter_of(record), "lacks", "")
        return ", ".join(lack_words(each, record) for each in lacks.split(";") if each)


def lack_words(lack: str, record: SpellPart) -> str:
    """Name what is missing, and whether somebody said that it was never written down."""
    never = {each.fact for each in record.station.not_written.all()}
    is_never = any(name in never for name, ends in ENDS.items() if ends.value == lack)
    return f"{LACK_WORDS[lack]} ({_('never written down')})" if is_never else str(LACK_WORDS[lack])


def lack_link(lack: str, record: SpellPart) -> SafeString:
    """Return the link to the form on which something can be said."""
    name, is_of_property = WHERE_TO_SAY[lack]
    ref = record.station.controller.property.ref if is_of_property else record.station.ref
    return format_html(
        '<a href="{}">{}<span class="visually-hidden"> {}</span></a>',
        page_of(name, ref),
        lack_words(lack, record),
        record.station,
    )


def _sum_words(record: Any, gallons: float | None) -> str:
    return least(volume(gallons, record), _is_least(record))


def _is_least(record: Any) -> bool:
    return bool(record.unknown_total or record.inexact_total)


def _number(gallons: float | None) -> float | str:
    return "" if gallons is None else round(gallons, 2)
