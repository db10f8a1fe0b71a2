"""Tables that combine the register and the faults."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

import django_tables2 as tables
from django.db.models import Case, DateTimeField, DurationField, ExpressionWrapper, F, Value, When
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from faults.models import STAGE_CHOICES
from faults.templatetags.waits import days_words, mover_word, waits_word
from reports.off_central.tables.cells import known_first, meter_cell
from sites.kernel.links import page_of
from sites.kernel.tables import LEAD, MORE, PLAIN, RIGHT, WORDS, SheetTable
from sites.models import Meter, SpellPart, today_at
from sites.register.queries.stations import days_by_zone
from sites.register.tables import property_link, station_link
from sites.templatetags.register import reason_swatch
from sites.templatetags.water import PRICE, cents, lacks_words, volume
from sites.water.engines.money import to_cents

STAGE_WORDS = dict(STAGE_CHOICES)
AT_LEAST = "≥"
IN_FILES_ONLY = (
    *("wait_since", "wait_until", "not_known"),
    *("or_before", "water_least", "currency", "cost_least"),
)


def meter_of(record: SpellPart) -> Meter | None:
    """Return the meter of the row's spell; a spell that is new to the ledger has none yet."""
    found: Meter | None = getattr(record.spell, "meter", None)
    return found


class OffCentralTable(SheetTable):
    """Stations off central control: where, why, since when, and what is being done."""

    caption: Any = _("Stations off central control")

    station = tables.Column(
        verbose_name=_("Station"),
        order_by=("station__controller__name", "station__number"),
        attrs=LEAD,
    )
    name = tables.Column(
        attrs=WORDS, accessor="station__name", verbose_name=_("Name"), order_by="station__name"
    )
    property = tables.Column(
        attrs=PLAIN,
        accessor="station__controller__property",
        verbose_name=_("Property"),
        order_by="station__controller__property__code",
    )
    reason = tables.Column(attrs=PLAIN, verbose_name=_("Reason"))
    kind = tables.Column(
        attrs={"td": {"class": f"plain {MORE}"}, "th": {"class": MORE}},
        accessor="stopgap__kind",
        verbose_name=_("What stands in"),
        order_by="stopgap__kind",
        empty_values=(),
    )
    since = tables.Column(
        accessor="spell__from_on",
        verbose_name=_("Off since"),
        order_by="spell__from_on",
        attrs={part: {"class": MORE} for part in ("td", "th")},
    )
    days = tables.Column(
        accessor="spell__from_on",
        verbose_name=_("Days"),
        order_by="-spell__from_on",
        attrs=RIGHT,
    )
    excess_gal = tables.Column(
        accessor="spell__meter__excess_gal",
        verbose_name=_("Excess water"),
        empty_values=(),
        attrs={part: {"class": f"right {MORE}"} for part in ("td", "th")},
    )
    cost = tables.Column(
        accessor="seen_cost", verbose_name=_("It costs"), empty_values=(), attrs=RIGHT
    )
    fault = tables.Column(
        accessor="fault_key", verbose_name=_("Fault"), order_by="fault_stage", empty_values=()
    )
    waits_on = tables.Column(
        verbose_name=_("Waits on"), order_by=("waits_on", "wait_since"), attrs=WORDS
    )
    mover = tables.Column(verbose_name=_("Whose move"), order_by=("mover", "wait_since"))
    # In files only: on the page they stand within the first of the three.
    wait_since = tables.Column(verbose_name=_("Waits since"))
    wait_until = tables.Column(verbose_name=_("Waits until"))
    # Figures stay numbers and days days: that they are "at least" stands beside them.
    or_before = tables.Column(
        accessor="spell__from_is_exact", verbose_name=_("Off since: or before"), empty_values=()
    )
    water_least = tables.Column(
        accessor="spell__meter", verbose_name=_("Excess water: at least"), empty_values=()
    )
    currency = tables.Column(accessor="pk", verbose_name=_("Currency"), orderable=False)
    cost_least = tables.Column(
        accessor="spell__meter", verbose_name=_("It costs: at least"), empty_values=()
    )
    not_known = tables.Column(
        accessor="spell__meter__lacks", verbose_name=_("Water: not known"), empty_values=()
    )

    class Meta(SheetTable.Meta):
        order_by = ("since",)
        sequence = (
            *("station", "name", "property", "reason", "kind", "since", "or_before", "days"),
            *("excess_gal", "water_least", "cost", "currency", "cost_least", "fault"),
            *("waits_on", "mover", "wait_since", "wait_until", "not_known"),
        )

    def __init__(
        self,
        *args: Any,
        at: datetime,
        currencies: Mapping[int, str],
        is_file: bool = False,
        sees_work: bool = True,
        sees_prices: bool = True,
        exclude: Any = (),
        **kwargs: Any,
    ) -> None:
        self.at, self.sees_work, self.currencies = at, sees_work, currencies
        left_out = (*exclude, *(() if is_file else IN_FILES_ONLY))
        left_out += () if sees_prices else ("cost", "currency", "cost_least")
        super().__init__(*args, exclude=left_out, **kwargs)
        if not sees_prices:  # then water is all that it is known to cost
            self.columns["excess_gal"].column.attrs = RIGHT

    def render_station(self, record: SpellPart) -> SafeString:
        """Link the station."""
        return station_link(record.station)

    def render_property(self, record: SpellPart) -> SafeString:
        """Link the property."""
        return property_link(record.station.controller.property)

    def render_reason(self, record: SpellPart) -> SafeString:
        """Show the reason with its swatch."""
        return reason_swatch(record.reason)

    def render_kind(self, record: SpellPart) -> str:
        """Say what stands in; a lost link has nothing standing in."""
        return record.stopgap.get_kind_display() if record.stopgap else "—"

    def render_since(self, record: SpellPart) -> SafeString:
        """Write the first day, marked where only the latest possible day is known."""
        first = record.spell.from_on.isoformat()
        if record.spell.from_is_exact:
            return format_html('<span class="nowrap">{}</span>', first)
        return format_html(
            '<span class="nowrap">{}</span> <span class="soft small">{}</span>',
            first,
            _("or before"),
        )

    def value_since(self, record: SpellPart) -> date:
        """A day to sort by; the column beside it says where it may have been earlier."""
        return record.spell.from_on

    def value_or_before(self, record: SpellPart) -> str:
        """Mark a first day that may be earlier, so that the days are at least so many."""
        return "" if record.spell.from_is_exact else str(_("or before"))

    def value_water_least(self, record: SpellPart) -> str:
        """Mark gallons that may be more."""
        meter = meter_of(record)
        return AT_LEAST if meter and meter.excess_gal is not None and meter.is_least else ""

    def value_cost_least(self, record: Any) -> str:
        """Mark a cost that may be more."""
        meter = meter_of(record)
        return AT_LEAST if meter and record.seen_cost is not None and meter.cost_is_least else ""

    def value_days(self, record: SpellPart) -> int:
        """Return the age in whole days; "or before" marks where it is at least so many."""
        return self._days_off(record)

    def _days_off(self, record: SpellPart) -> int:
        return max(0, (self.until(record) - record.spell.from_on).days)

    def until(self, record: SpellPart) -> date:
        """Return the day until which a row's days are counted."""
        return today_at(record.station.controller.property, self.at)

    def order_days(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        """Order by the days shown: at the same moment, properties may be a day apart."""
        days = days_by_zone(self.at)
        zone = "station__controller__property__time_zone"
        ahead = {name: day - min(days.values()) for name, day in days.items()}
        whens = [When(**{zone: name, "then": Value(by)}) for name, by in ahead.items() if by]
        if not whens:
            return rows.order_by("spell__from_on" if is_descending else "-spell__from_on"), True
        shift = Case(*whens, default=Value(timedelta()), output_field=DurationField())
        first = ExpressionWrapper(F("spell__from_on") - shift, DateTimeField())
        rows = rows.annotate(first_as_seen=first)
        return rows.order_by("first_as_seen" if is_descending else "-first_as_seen"), True

    def render_days(self, record: SpellPart) -> str:
        """Write the age in days."""
        days = self._days_off(record)
        return f"{days:,}" if record.spell.from_is_exact else f"≥\u00a0{days:,}"

    def order_excess_gal(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        """What is not known comes last, whichever way the rest goes."""
        return known_first(rows, "spell__meter__excess_gal", is_descending), True

    def order_cost(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        """What is not known comes last, whichever way the rest goes."""
        return known_first(rows, "seen_cost", is_descending), True

    def render_excess_gal(self, record: SpellPart) -> SafeString:
        """Write what was too much so far, "at least" where some days are not known."""
        meter = meter_of(record)
        place = record.station.controller.property
        return meter_cell(
            meter,
            None if meter is None or meter.excess_gal is None else volume(meter.excess_gal, place),
            is_least=meter is not None and meter.is_least,
            lacks=meter.lacks if meter is not None else "",
        )

    def value_excess_gal(self, record: SpellPart) -> float | str:
        """Return the gallons as a number for the export; an empty cell where not known."""
        meter = meter_of(record)
        return "" if meter is None or meter.excess_gal is None else round(meter.excess_gal, 2)

    def render_cost(self, record: Any) -> SafeString:
        """Write what that costs so far."""
        meter = meter_of(record)
        return meter_cell(
            meter,
            None if record.seen_cost is None else cents(record.seen_cost, self._currency(record)),
            is_least=meter is not None and meter.cost_is_least,
            # What keeps the water itself from being known stands beside the water.
            lacks=PRICE if meter is not None and meter.excess_gal is not None else "",
        )

    def value_cost(self, record: Any) -> float | str:
        """To the cent; what is not known is an empty cell."""
        return "" if record.seen_cost is None else float(to_cents(record.seen_cost))

    def value_currency(self, record: Any) -> str:
        """In which currency it costs; empty where it is not known what."""
        return "" if record.seen_cost is None else self._currency(record)

    def _currency(self, record: SpellPart) -> str:
        return self.currencies.get(record.station.controller.property_id, "")

    def value_not_known(self, record: SpellPart) -> str:
        """Name what is missing."""
        meter = meter_of(record)
        return lacks_words(meter.lacks) if meter is not None else ""

    def render_fault(self, record: SpellPart) -> SafeString | str:
        """Link the open fault and its stage, or say that there is none."""
        ref = getattr(record, "fault_ref", None)
        if not ref:
            return format_html('<span class="soft">{}</span>', _("none open"))
        key = getattr(record, "fault_key", "") or ref
        stage = STAGE_WORDS[getattr(record, "fault_stage", "reported")]
        url = page_of("faults:fault", ref)
        return format_html('<a href="{}" class="nowrap">{}</a> {}', url, key, stage)

    def render_waits_on(self, record: Any) -> SafeString:
        """Say what holds the station, and since when."""
        return format_html(
            '{} <span class="small soft">{}</span>',
            waits_word(record.waits_on),
            days_words(record.wait_since, record.wait_until if self.sees_work else None),
        )

    def value_waits_on(self, record: Any) -> str:
        """The words alone, for files: the days have columns of their own there."""
        return waits_word(record.waits_on or "")

    def render_mover(self, value: str) -> SafeString:
        """Translate the word."""
        return format_html('<span class="nowrap">{}</span>', mover_word(value, self.sees_work))
