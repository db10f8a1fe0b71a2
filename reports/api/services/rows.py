"""Rows as programs read them, asked for or told: plain values by the names of a shape."""

from datetime import date
from typing import Any

from django.conf import settings
from django.urls import reverse

from reports.models import Report
from sites.models import SpellPart, Station, today_at


def named_station(station: Station) -> dict[str, Any]:
    """Return what `StationNamed` says."""
    return {
        "station_ref": station.ref,
        "property_code": station.controller.property.code,
        "controller": station.controller.name,
        "station_number": station.number,
        "station_name": station.name,
    }


def off_row(row: SpellPart, day: date | None) -> dict[str, Any]:
    """Return what `OffCentral` says of a part of a spell, as of a day; None = today there.

    The fault and what the station waits on are said where the row was read with them.
    """
    on = day or today_at(row.station.controller.property)
    return {
        **named_station(row.station),
        "reason": row.reason,
        "since": row.spell.from_on,
        "since_is_exact": row.spell.from_is_exact,
        "days": max((on - row.spell.from_on).days, 0),
        "stopgap_ref": row.stopgap and row.stopgap.ref,
        "stopgap_kind": row.stopgap and row.stopgap.kind,
        "fault_ref": getattr(row, "fault_ref", None),
        "fault_stage": getattr(row, "fault_stage", None),
        "waits_on": getattr(row, "waits_on", None),
        "whose_move": getattr(row, "mover", None),
        "waiting_since": getattr(row, "wait_since", None),
    }


def report_row(report: Report) -> dict[str, Any]:
    """Return what `IssuedReport` says."""
    return {
        "ref": report.ref,
        "number": str(report),
        "version": report.version,
        "kind": report.kind,
        "title": report.title,
        "property_code": report.property and report.property.code,
        "client": report.client and report.client.name,
        "from_on": report.from_on,
        "until_on": report.until_on,
        "language": report.language,
        "audience": report.audience,
        "issued_at": report.issued_at,
        "data_sha256": report.data_sha256,
        "address": settings.SITE_URL + reverse("reports:issued", args=[report.ref]),
    }
