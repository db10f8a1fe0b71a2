"""A station's readings over time: judged, charted with limits, restarted at a swap."""

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from faults.engines.control_chart import Limits, judge_newest, limits_of
from faults.models import Reading, ReadingKind
from faults.services.checkup import LEAST_BAND_OHMS
from faults.services.readings import Judged, expectations, judge_value
from reports.charts import ohms_figure
from sites.models import Station
from sites.services.expected_volts import expected_volts
from sites.templatetags.register import OPEN_FROM_OHMS, ohms

MOST_CHARTED = 200
MOST_LISTED = 12


@dataclass(frozen=True)
class Row:
    """One reading as the page lists it."""

    reading: Reading
    judged: Judged | None

    @property
    def shown(self) -> str:
        """The value as a meter shows it, with its unit."""
        value = self.reading.value
        if self.reading.kind == ReadingKind.OHMS:
            return ohms(value)
        unit = {"volts": "V", "insulation": "MΩ", "distance": "ft"}[self.reading.kind]
        return f"{value:,.1f} {unit}"


def readings_of(station: Station) -> dict[str, Any]:
    """Return what the station's page tells of its readings."""
    every = list(
        Reading.objects.filter(station=station, voided_on__isnull=True).order_by(
            "-taken_on", "-pk"
        )[:MOST_CHARTED]
    )
    expected, good = expectations([station])
    mine = expected[station.pk]
    rows = [
        Row(reading, judge_value(reading.kind, reading.value, mine, _own(reading, good)))
        for reading in every[:MOST_LISTED]
    ]
    charted = _charted(every)
    verdict = judge_newest([r.value for r in charted], least_band=LEAST_BAND_OHMS)
    limits = verdict.limits or limits_of([r.value for r in charted])
    return {
        "readings": rows,
        "expected": mine,
        "expected_volts": expected_volts(mine, station.controller),
        "ohms_limits": limits,
        "false_alarm": verdict.false_alarm_chance,
        "ohms_title": _title(charted, verdict.is_creeping),
        "ohms_figure": _figure(charted, mine.total_ohms, limits) if len(charted) > 1 else None,
    }


def _own(reading: Reading, good: dict[int, float]) -> float | None:
    """Its own last good reading judges others, never itself."""
    own = good.get(reading.station_id)
    return None if own is not None and own == reading.value else own


def _charted(every: list[Reading]) -> list[Reading]:
    """The ohms on the newest reading's wire, oldest first; an open wire has no point to draw."""
    values = [r for r in every if r.kind == ReadingKind.OHMS and r.value < OPEN_FROM_OHMS]
    return [r for r in reversed(values) if r.wire_id == values[0].wire_id] if values else []


def _title(charted: list[Reading], is_creeping: bool) -> str:
    if not charted:
        return _("Readings")
    if is_creeping:
        return _("Its ohms are creeping up: a joint may be corroding")
    return _("Ohms over time: newest %s") % ohms(charted[-1].value)


def _figure(
    charted: list[Reading], expected_ohms: float | None, limits: Limits | None
) -> dict[str, Any]:
    return ohms_figure(
        [r.taken_on for r in charted], [r.value for r in charted], expected_ohms, limits
    )
