from django.db import migrations

from sites.models.trigrams import TrigramIndex


class Migration(migrations.Migration):
    dependencies = [("sites", "0007_a_contact_may_end")]

    operations = [
        TrigramIndex(table="sites_station", column="name", name="station_name_parts"),
        TrigramIndex(table="sites_point", column="name", name="point_name_parts"),
        TrigramIndex(table="sites_wire", column="name", name="wire_name_parts"),
        TrigramIndex(table="sites_wire", column="colour", name="wire_colour_parts"),
    ]
