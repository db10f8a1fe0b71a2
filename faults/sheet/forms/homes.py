"""The step of a bring-home round: each station's wires apart, joined, read; without signal too.

What each reading says comes along in bands, worked out by the office's own rule.
"""

from collections.abc import Sequence
from datetime import date
from math import inf

from django.utils.translation import gettext as _

from faults.models import Job
from faults.readings.engines.bring_home import Verdict, bands_of
from faults.readings.services import home_words
from faults.readings.services.bring_home import Home, homes_of
from faults.readings.services.loops import in_walking_order, stations_to_read
from faults.sheet.forms.fields import Plain, ground, step
from sites.models import Station, Wiring
from sites.wires.services.reading_limits import thresholds

# By what was seen of the wires held apart; "" = nobody looked.
APART = {"open": True, "closed": False, "": None}


def home_step(job: Job, today: date) -> Plain:
    """One row for each station, in the order of walking."""
    return step(
        "homes",
        _("Bring-home tests"),
        lead=_(
            "At each valve take the timer's leads off the two field wires. Held apart they should "
            "read open at the clock, off their terminals; then join them and read the loop."
        ),
        cautions=[
            _(
                "Switch the stations off and take both wires off their terminals before you read. "
                "The mains side is for licensed electricians. 24 V is not safe on wet skin."
            )
        ],
        homes=[_home(home) for home in homes_of(stations_of(job), today=today)],
        ground=ground(job.property),
        open_ohms=thresholds().open_ohms,
        words=_words(),
    )


def stations_of(job: Job) -> Sequence[Station]:
    """Return the stations that the job names, else all of its property that a stopgap stands on."""
    named = job.stations.select_related("controller__property", "valve_point")
    named = named.exclude(controller__wiring=Wiring.TWO_WIRE)
    if named.exists():
        return in_walking_order(list(named.order_by("controller__name", "number", "pk")))
    return stations_to_read(job.property)


def _home(home: Home) -> Plain:
    station, row = home.station, home.reading
    said = home_words.verdict_words(home.verdict) if row else ""
    return {
        "station": station.pk,
        "name": str(station),
        "title": station.name,
        "box": station.valve_point.name if station.valve_point else "",
        "expected": home_words.expected_words(home),
        "bands": _bands(home),
        "said": f"{said}: {home_words.shown_words(home)}, {row.taken_on:%Y-%m-%d}" if row else "",
        "next": home_words.next_words(home),
        "is_sound": home.verdict is Verdict.SOUND,
        "is_read": row is not None and row.taken_on == home.today,
    }


def _bands(home: Home) -> dict[str, list[list[object]]] | None:
    loop = home.known.loop(home.today, home.numbers)
    if loop is None:
        return None
    story = home.known.story(home.today)
    return {
        name: [
            [None if band.to_ohms == inf else band.to_ohms, band.verdict.value, band.percent]
            for band in bands_of(loop, story, home.numbers, apart_open=apart)
        ]
        for name, apart in APART.items()
    }


def _words() -> dict[str, str]:
    return {
        "apart": _("Held apart they read"),
        "apart_open": _("open"),
        "apart_closed": _("not open"),
        "how": _("At the valve"),
        "joined": _("joined"),
        "across": _("across a coil"),
        "coil": _("The coil by itself, ohms"),
        "value": _("The meter shows"),
        "open": _("open (OL)"),
        "keep": _("Keep this test"),
        "read": _("Read it"),
        "again": _("Read it again"),
        "expected": _("Joined it should read: %s"),
        "sound": _("sound: can return today"),
        "broken": _("broken"),
        "doubtful": _("doubtful: read again; sound by %s %%"),
        "later": _("It is judged once it is sent."),
        "home": _("Its wire is sound: on to the proof"),
        "led": _("On to the proof. Its sheet stands in the list of sheets once this is sent."),
        "title": _("%(station)s: %(ohms)s"),
    }
