"""A station's readings over time: judged, charted with limits, restarted at a swap."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from faults.models import Reading, ReadingKind
from faults.readings.engines.control_chart import Limits, Verdict
from faults.readings.services.bring_home import homes_of
from faults.readings.services.home_words import next_words, verdict_words
from faults.readings.services.judging import Judged, courses_of
from reports.off_central.charts import ohms_figure
from sites.models import Station
from sites.templatetags.register import ohms
from sites.wires.services.expected_volts import expected_volts
from sites.wires.services.warmth import ground_year

MOST_CHARTED = 200
MOST_LISTED = 12


@dataclass(frozen=True)
class Row:
    """One reading as the page lists it."""

    reading: Reading
    judged: Judged | None


def readings_of(station: Station, *, today: date) -> dict[str, object]:
    """Return what the station's page tells of its readings."""
    course = courses_of([station])[station.pk]
    pairs = list(zip(course.readings, course.judged, strict=True))
    charted = course.charted[-MOST_CHARTED:]
    place = station.controller.property
    verdict = course.verdict
    limits = verdict.limits if verdict else None
    expected = course.expected
    return {
        "readings": [Row(*pair) for pair in reversed(pairs[-MOST_LISTED:])],
        "readings_total": len(pairs),
        "expected": expected,
        "expected_volts": expected_volts(expected, station.controller),
        "ohms_limits": limits,
        "assumed_total": course.assumed,
        "ground_is_known": ground_year(place) is not None,
        "ohms_verdict": verdict,
        "ohms_title": _title(charted, verdict),
        "ohms_figure": _figure(charted, expected.total_ohms, limits) if len(charted) > 1 else None,
        **_loop(station, course.readings, today),
    }


def _loop(station: Station, readings: Sequence[Reading], today: date) -> dict[str, object]:
    """Return what the newest bring-home test of this time off central says today."""
    if not any(row.kind == ReadingKind.LOOP for row in readings):
        return {}
    home = homes_of([station], today=today)[0]
    return {
        "loop_reading": home.reading,
        "loop_word": verdict_words(home.verdict),
        "loop_next": next_words(home),
        "loop_is_bad": not home.is_sound,
    }


def _title(charted: list[tuple[Reading, Judged]], verdict: Verdict | None) -> str:
    if not charted:
        return _("Readings")
    if verdict and verdict.is_creeping:
        return _("Its ohms are creeping up: a joint may be corroding")
    return _("Ohms over time: newest %s") % ohms(charted[-1][0].value)


def _figure(
    charted: list[tuple[Reading, Judged]], expected_ohms: float | None, limits: Limits | None
) -> dict[str, object]:
    days = [reading.taken_on for reading, _judged in charted]
    values = [judged.at_20_c or 0.0 for _reading, judged in charted]
    return ohms_figure(days, values, expected_ohms, limits)
