"""The register's tables, one module per part of it."""

from sites.models.climate import ClimateRow
from sites.models.controller import Central, CentralState, Controller, Wiring
from sites.models.ground import Cover, Leg, LengthSource, Point, PointKind, Renewal, RenewalKind
from sites.models.people import Grant, User
from sites.models.property import (
    Client,
    Contact,
    ContactRole,
    PriceUnit,
    Property,
    Tariff,
    Units,
)
from sites.models.run import Run, RunState
from sites.models.station import RunBy, Schedule, Station, StationFacts, StationKind
from sites.models.stopgap import (
    OFF_CENTRAL_KINDS,
    REASON_CHOICES,
    Device,
    Spell,
    SpellPart,
    Stopgap,
    StopgapKind,
    counted_from,
)
from sites.models.upload import Upload
from sites.models.wires import AtPoint, Feed, Termination, Wire, WireAtPoint, WireKind, WireLeg

__all__ = [
    "OFF_CENTRAL_KINDS",
    "REASON_CHOICES",
    "AtPoint",
    "Central",
    "CentralState",
    "Client",
    "ClimateRow",
    "Contact",
    "ContactRole",
    "Controller",
    "Cover",
    "Device",
    "Feed",
    "Grant",
    "Leg",
    "LengthSource",
    "Point",
    "PointKind",
    "PriceUnit",
    "Property",
    "Renewal",
    "RenewalKind",
    "Run",
    "RunBy",
    "RunState",
    "Schedule",
    "Spell",
    "SpellPart",
    "Station",
    "StationFacts",
    "StationKind",
    "Stopgap",
    "StopgapKind",
    "Tariff",
    "Termination",
    "Units",
    "Upload",
    "User",
    "Wire",
    "WireAtPoint",
    "WireKind",
    "WireLeg",
    "Wiring",
    "counted_from",
]
