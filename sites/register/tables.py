"""Tables of the register. Each page size is fixed, so that rows fetched are bounded."""

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from sites.kernel.links import page_of
from sites.kernel.tables import LEAD, PLAIN, RIGHT, DayColumn, SheetTable
from sites.models import Controller, Device, Leg, Point, Property, Station, Stopgap, Wire
from sites.templatetags.register import area, depth, feet, reason_swatch, since


def station_link(station: Station) -> SafeString:
    """Return the link to a station, named as people name it."""
    return format_html(
        '<a href="{}" class="nowrap">{}:{}</a>',
        page_of("reports:station", station.ref),
        station.controller.name,
        station.number,
    )


def property_link(place: Property) -> SafeString:
    """Return the link to a property."""
    return format_html('<a href="{}">{}</a>', page_of("reports:property", place.ref), place)


class PropertyTable(SheetTable):
    """Properties with how much of them is off central control."""

    summed = ("station_total", "off_total")

    code = tables.Column(verbose_name=_("Property"), attrs=LEAD)
    client = tables.Column(attrs=PLAIN, verbose_name=_("Client"), order_by="client__name")
    kind = tables.Column(attrs=PLAIN, verbose_name=_("Kind of place"))
    station_total = tables.Column(verbose_name=_("Stations"), attrs=RIGHT)
    off_total = tables.Column(verbose_name=_("Off central"), attrs=RIGHT)

    class Meta(SheetTable.Meta):
        order_by = ("code",)

    def render_code(self, record: Property) -> SafeString:
        """Link the name."""
        return property_link(record)


class ControllerTable(SheetTable):
    """Controllers with their link to central control."""

    summed = ("station_total", "off_total")

    name = tables.Column(verbose_name=_("Controller"), attrs=LEAD)
    property = tables.Column(attrs=PLAIN, verbose_name=_("Property"), order_by="property__code")
    wiring = tables.Column(attrs=PLAIN, verbose_name=_("Wiring"))
    central = tables.Column(attrs=PLAIN, verbose_name=_("Central"))
    station_total = tables.Column(verbose_name=_("Stations"), attrs=RIGHT)
    off_total = tables.Column(verbose_name=_("Off central"), attrs=RIGHT)

    class Meta(SheetTable.Meta):
        order_by = ("property", "name")

    def render_name(self, record: Controller) -> SafeString:
        """Link to the controller's page."""
        url = page_of("sites:controller", record.ref)
        return format_html('<a href="{}">{}</a>', url, record.name)

    def render_property(self, record: Controller) -> SafeString:
        """Link the property."""
        return property_link(record.property)

    def render_wiring(self, record: Controller) -> str:
        """Translate the word."""
        return record.get_wiring_display()

    def render_central(self, record: Controller) -> str:
        """Translate the word."""
        return record.get_central_display()


class StationTable(SheetTable):
    """Stations with why they are off central control, where they are."""

    number = tables.Column(
        verbose_name=_("Station"), order_by=("controller__name", "number"), attrs=LEAD
    )
    name = tables.Column(attrs=PLAIN, verbose_name=_("Name"))
    property = tables.Column(
        attrs=PLAIN,
        accessor="controller__property",
        verbose_name=_("Property"),
        order_by="controller__property__code",
    )
    kind = tables.Column(attrs=PLAIN, verbose_name=_("Kind"))
    area_sqft = tables.Column(verbose_name=_("Area"), attrs=RIGHT)
    reason_off = tables.Column(attrs=PLAIN, verbose_name=_("Off central because"))

    class Meta(SheetTable.Meta):
        order_by = ("property", "number")

    def render_number(self, record: Station) -> SafeString:
        """Link the station."""
        return station_link(record)

    def render_property(self, record: Station) -> SafeString:
        """Link the property."""
        return property_link(record.controller.property)

    def render_kind(self, record: Station) -> str:
        """Translate the word."""
        return record.get_kind_display()

    def render_area_sqft(self, value: float, record: Station) -> str:
        """Show the area in the property's units."""
        return area(value, record.controller.property)

    def render_reason_off(self, value: str) -> SafeString:
        """Show the reason with its swatch."""
        return reason_swatch(value)


class StopgapTable(SheetTable):
    """Stopgaps, open and ended."""

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
    kind = tables.Column(attrs=PLAIN, verbose_name=_("Stopgap"))
    reason = tables.Column(attrs=PLAIN, verbose_name=_("Reason"))
    counted_from = tables.Column(verbose_name=_("Since"))
    removed_on = DayColumn(verbose_name=_("Removed"))
    device = tables.Column(verbose_name=_("Device"), order_by="device__name")

    class Meta(SheetTable.Meta):
        order_by = ("-counted_from",)

    def render_station(self, record: Stopgap) -> SafeString:
        """Link the station."""
        return station_link(record.station)

    def render_property(self, record: Stopgap) -> SafeString:
        """Link the property."""
        return property_link(record.station.controller.property)

    def render_kind(self, record: Stopgap) -> SafeString:
        """Translate the word, and link the stopgap's own page."""
        url = page_of("sites:stopgap", record.ref)
        return format_html('<a href="{}">{}</a>', url, record.get_kind_display())

    def render_device(self, value: Device) -> SafeString:
        """Link the device, where its batteries are."""
        return format_html('<a href="{}">{}</a>', page_of("sites:device", value.ref), value)

    def render_reason(self, record: Stopgap) -> SafeString:
        """Show the reason with its swatch."""
        return reason_swatch(record.reason)

    def render_counted_from(self, record: Stopgap) -> str:
        """Say "at least since" where the day of fitting is not known."""
        return since(record.counted_from, record.fitted_is_exact)


def ground_link(row: Point | Leg | Wire) -> SafeString:
    """Return the link to a point, leg or wire; a leg's page tells of faults too."""
    names = {Point: "sites:point", Leg: "faults:leg", Wire: "sites:wire"}
    return format_html('<a href="{}">{}</a>', page_of(names[type(row)], row.ref), row)


class PointTable(SheetTable):
    """Points of one property."""

    name = tables.Column(verbose_name=_("Point"), attrs=LEAD)
    kind = tables.Column(verbose_name=_("Kind"), attrs=PLAIN)
    lid = tables.Column(verbose_name=_("Lid"))
    depth_in = tables.Column(verbose_name=_("Depth"), attrs=RIGHT)
    tie_1 = tables.Column(verbose_name=_("Tie 1"))
    tie_2 = tables.Column(verbose_name=_("Tie 2"))
    is_surveyed = tables.Column(verbose_name=_("Seen"))

    class Meta(SheetTable.Meta):
        order_by = ("name",)

    def render_name(self, record: Point) -> SafeString:
        """Link the point."""
        return ground_link(record)

    def render_kind(self, record: Point) -> str:
        """Translate the word."""
        return record.get_kind_display()

    def render_depth_in(self, record: Point) -> str:
        """Show the depth in the property's units."""
        return depth(record.depth_in, record.property)

    def render_is_surveyed(self, value: bool) -> str:
        """Say when nobody has seen it."""
        return str(_("seen")) if value else str(_("not surveyed"))


class LegTable(SheetTable):
    """Legs of one property."""

    label = tables.Column(verbose_name=_("Leg"), attrs=LEAD, empty_values=())
    from_point = tables.Column(verbose_name=_("From"), order_by="from_point__name")
    to_point = tables.Column(verbose_name=_("To"), order_by="to_point__name")
    length_ft = tables.Column(verbose_name=_("Length"), attrs=RIGHT)
    length_source = tables.Column(verbose_name=_("How known"), attrs=PLAIN)
    depth_in = tables.Column(verbose_name=_("Depth"), attrs=RIGHT)
    cover = tables.Column(verbose_name=_("Cover"), attrs=PLAIN)
    wire_total = tables.Column(verbose_name=_("Wires"), attrs=RIGHT)

    class Meta(SheetTable.Meta):
        order_by = ("label",)

    def render_label(self, record: Leg) -> SafeString:
        """Link the leg, named by its points where it has no label."""
        return ground_link(record)

    def render_from_point(self, value: Point) -> SafeString:
        """Link the point."""
        return ground_link(value)

    def render_to_point(self, value: Point) -> SafeString:
        """Link the point."""
        return ground_link(value)

    def render_length_ft(self, record: Leg) -> str:
        """Show the length in the property's units."""
        return feet(record.length_ft, record.property)

    def render_length_source(self, record: Leg) -> str:
        """Translate the word; say when nobody has surveyed it."""
        return record.get_length_source_display() if record.is_surveyed else str(_("not surveyed"))

    def render_depth_in(self, record: Leg) -> str:
        """Show the depth in the property's units."""
        return depth(record.depth_in, record.property)

    def render_cover(self, record: Leg) -> str:
        """Translate the word."""
        return record.get_cover_display()


class WireTable(SheetTable):
    """Wires of one property."""

    name = tables.Column(verbose_name=_("Wire"), attrs=LEAD)
    kind = tables.Column(verbose_name=_("Kind"), attrs=PLAIN)
    colour = tables.Column(verbose_name=_("Colour"), attrs=PLAIN)
    size = tables.Column(verbose_name=_("Size"), attrs=PLAIN)
    cable = tables.Column(verbose_name=_("Cable"))
    leg_total = tables.Column(verbose_name=_("Legs"), attrs=RIGHT)
    retired_on = DayColumn(verbose_name=_("Retired"))

    class Meta(SheetTable.Meta):
        order_by = ("name",)

    def render_name(self, record: Wire) -> SafeString:
        """Link the wire."""
        return ground_link(record)

    def render_kind(self, record: Wire) -> str:
        """Translate the word."""
        return record.get_kind_display()
