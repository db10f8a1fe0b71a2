"""The register's tables, one module per part of it."""

from sites.models.access_days import AccessHours, Blackout
from sites.models.climate import ClimateRow
from sites.models.controller import Central, CentralState, Controller, Equipment, Wiring
from sites.models.doors import (
    AuditLine,
    Event,
    Passkey,
    RecoveryCode,
    RoleWithSecondFactor,
    SecondFactor,
    SignedIn,
)
from sites.models.ground import Cover, Leg, LengthSource, Point, PointKind, Renewal, RenewalKind
from sites.models.not_written import NotWritten
from sites.models.people import Grant, User
from sites.models.photo import Photo, Picture, PlanPicture
from sites.models.property import (
    Client,
    Contact,
    ContactRole,
    PriceUnit,
    Property,
    StandingAuthority,
    Tariff,
    Units,
    today_at,
)
from sites.models.reconcile import (
    CentralFile,
    CentralFolder,
    CentralList,
    Decision,
    Difference,
    ListedStation,
    NewestList,
    StandingDifference,
)
from sites.models.run import Run, RunState
from sites.models.sent_form import SentForm
from sites.models.station import BY_CLOCK, RunBy, Schedule, Station, StationFacts, StationKind
from sites.models.stopgap import (
    OFF_CENTRAL_KINDS,
    REASON_CHOICES,
    BatteryFound,
    Device,
    MainValve,
    Spell,
    SpellPart,
    Stopgap,
    StopgapKind,
    counted_from,
)
from sites.models.ticked_act import TickedAct
from sites.models.token import ApiToken, Scope
from sites.models.upload import FurtherFile, HowLoaded, LoadedRows, Upload
from sites.models.view import SavedView, StepPutAway
from sites.models.water import Meter, Outage, OutageKind, StuckOpen, WaterMonth
from sites.models.wires import AtPoint, Feed, Termination, Wire, WireAtPoint, WireKind, WireLeg

__all__ = [
    "BY_CLOCK",
    "OFF_CENTRAL_KINDS",
    "REASON_CHOICES",
    "AccessHours",
    "ApiToken",
    "AtPoint",
    "AuditLine",
    "BatteryFound",
    "Blackout",
    "Central",
    "CentralFile",
    "CentralFolder",
    "CentralList",
    "CentralState",
    "Client",
    "ClimateRow",
    "Contact",
    "ContactRole",
    "Controller",
    "Cover",
    "Decision",
    "Device",
    "Difference",
    "Equipment",
    "Event",
    "Feed",
    "FurtherFile",
    "Grant",
    "HowLoaded",
    "Leg",
    "LengthSource",
    "ListedStation",
    "LoadedRows",
    "MainValve",
    "Meter",
    "NewestList",
    "NotWritten",
    "Outage",
    "OutageKind",
    "Passkey",
    "Photo",
    "Picture",
    "PlanPicture",
    "Point",
    "PointKind",
    "PriceUnit",
    "Property",
    "RecoveryCode",
    "Renewal",
    "RenewalKind",
    "RoleWithSecondFactor",
    "Run",
    "RunBy",
    "RunState",
    "SavedView",
    "Schedule",
    "Scope",
    "SecondFactor",
    "SentForm",
    "SignedIn",
    "Spell",
    "SpellPart",
    "StandingAuthority",
    "StandingDifference",
    "Station",
    "StationFacts",
    "StationKind",
    "StepPutAway",
    "Stopgap",
    "StopgapKind",
    "StuckOpen",
    "Tariff",
    "Termination",
    "TickedAct",
    "Units",
    "Upload",
    "User",
    "WaterMonth",
    "Wire",
    "WireAtPoint",
    "WireKind",
    "WireLeg",
    "Wiring",
    "counted_from",
    "today_at",
]
