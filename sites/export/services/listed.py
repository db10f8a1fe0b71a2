"""The register's sheets in the order of the file contract, up to those of higher apps."""

from sites.export.services import ground as in_ground
from sites.export.services import places, stations
from sites.export.services.sheets import ExportSheet
from sites.kernel.engines.roles import Action
from sites.load.services.sheets import (
    climate,
    contacts,
    controllers,
    ground,
    properties,
    schedules,
    stopgaps,
    wires,
)
from sites.load.services.sheets import stations as station_sheet

STATION = ("controller", "station number")

SHEETS = (
    ExportSheet(
        properties.KIND,
        places.property_rows,
        (),
        kept_from=dict.fromkeys(properties.TARIFF, Action.SEE_RATES),
    ),
    ExportSheet(contacts.KIND, places.contact_rows, ("name", "role"), Action.SEE_CONTACTS),
    ExportSheet(controllers.KIND, places.controller_rows, ("controller",)),
    ExportSheet(ground.POINTS, in_ground.point_rows, ("point",)),
    ExportSheet(
        ground.LEGS,
        in_ground.leg_rows,
        ("leg", "from point", "to point", "running_number", "ref"),
    ),
    ExportSheet(wires.KIND, in_ground.wire_rows, ("wire",)),
    ExportSheet(station_sheet.KIND, stations.station_rows, STATION),
    ExportSheet(schedules.KIND, stations.schedule_rows, (*STATION, "from", "run by")),
    ExportSheet(
        stopgaps.KIND, stations.stopgap_rows, (*STATION, "counted_from", "ref"),
        Action.SEE_OFF_CENTRAL,
    ),
)  # fmt: skip

CLIMATE = ExportSheet(
    climate.KIND, places.climate_rows, ("month",), shared=places.shared_climate_rows
)
