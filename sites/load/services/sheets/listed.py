"""All sheets of the register, in the order in which they are planned, and their tables."""

from django.db.models import Model

from sites.load.services.sheets import (
    central,
    climate,
    contacts,
    controllers,
    flat,
    ground,
    properties,
    schedules,
    stations,
    stopgaps,
    wires,
)
from sites.models import (
    CentralState,
    Client,
    ClimateRow,
    Contact,
    Controller,
    Device,
    Feed,
    Leg,
    Point,
    Property,
    Schedule,
    Station,
    StationFacts,
    Stopgap,
    Tariff,
    Termination,
    Wire,
    WireAtPoint,
    WireLeg,
)

KINDS = {
    kind.name: kind
    for kind in (
        properties.KIND,
        contacts.KIND,
        controllers.KIND,
        ground.POINTS,
        ground.LEGS,
        wires.KIND,
        stations.KIND,
        flat.KIND,
        schedules.KIND,
        stopgaps.KIND,
        climate.KIND,
        central.KIND,
    )
}

# What a record refers to is written before it.
TABLES: tuple[type[Model], ...] = (
    Client,
    Property,
    Contact,
    Tariff,
    Controller,
    CentralState,
    Point,
    Leg,
    Wire,
    WireLeg,
    WireAtPoint,
    Station,
    StationFacts,
    Termination,
    Feed,
    Device,
    Stopgap,
    Schedule,
    ClimateRow,
)
