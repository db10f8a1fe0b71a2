"""Rows of one station, controller or property never overlap in days."""

from django.db import migrations

from sites.models.no_overlap import NoOverlap

OFF_KINDS = "{row}kind IN ('battery timer', 'by hand', 'shut off', 'held open')"


class Migration(migrations.Migration):
    dependencies = [("sites", "0001_start")]

    operations = [
        NoOverlap(
            table="sites_stopgap",
            name="stopgap_off_kinds_never_overlap",
            owner="station_id",
            start="counted_from",
            end="removed_on",
            where=OFF_KINDS,
        ),
        NoOverlap(
            table="sites_centralstate",
            name="central_states_never_overlap",
            owner="controller_id",
            start="from_on",
            end="to_on",
        ),
        NoOverlap(
            table="sites_stationfacts",
            name="station_facts_never_overlap",
            owner="station_id",
            start="from_on",
            end="to_on",
        ),
        NoOverlap(
            table="sites_tariff",
            name="tariffs_never_overlap",
            owner="property_id",
            start="from_on",
            end="to_on",
        ),
        NoOverlap(
            table="sites_spellpart",
            name="spell_parts_never_overlap",
            owner="station_id",
            start="from_on",
            end="to_on",
        ),
        NoOverlap(
            table="sites_feed",
            name="station_feeds_never_overlap",
            owner="station_id",
            start="from_on",
            end="to_on",
        ),
    ]
