"""The step of a station walk, of a battery round, and of a wire check-up."""

from collections.abc import Sequence
from datetime import date

from django.utils.translation import gettext as _

from faults.models import Job, ReadingKind, WalkNote, WalkResult
from faults.readings.services.judging import timers_of, was_on_timer
from faults.rounds.services.progress import Progress
from faults.sheet.forms.fields import Plain, form, ground, number, step
from faults.sheet.forms.steps import all_run
from faults.work.queries.jobs import devices_due, devices_offered
from sites.models import BatteryFound, Device, Station, Wiring

MOST_STATIONS = 400


def walk_step(job: Job, come: Progress, today: date) -> Plain:
    """One row for each station, in the order of walking: what it did, in one tap."""
    stations = stations_of_round(come)
    since = come.span.since if come.span else today
    notes = WalkNote.objects.filter(station__in=stations, seen_on__range=(since, today))
    seen = dict(notes.order_by("seen_on", "pk").values_list("station", "result"))
    return step(
        "walk",
        _("Walk the stations"),
        cautions=[_("Two people, or a remote: nobody stands in a road to see a valve.")],
        stations=[
            {
                "station": each.pk,
                "name": str(each),
                "clock": str(each.controller),
                "seen": seen.get(each.pk, ""),
            }
            for each in stations
        ],
        stations_title=_("What does each station do?"),
        all_run=all_run(),
        results=[[value, str(word)] for value, word in WalkResult.choices],
    )


def battery_step(job: Job, today: date) -> Plain:
    """One row for each battery timer: new batteries, in one tap; what is due stands first."""
    due = devices_due(job.property, today=today)
    devices = sorted(devices_of_round(job), key=lambda each: each.pk not in due)
    return step(
        "batteries",
        _("Change the batteries"),
        cautions=[_("Take the old batteries along: they belong in a collection box.")],
        devices=[_device(each, each.pk in due) for each in devices],
        devices_title=_("Which timers have new batteries?"),
        old_sets=[[value, str(word)] for value, word in BatteryFound.choices],
        old_set=_("The old set was"),
    )


def _device(device: Device, is_due: bool) -> Plain:
    changed_on = device.battery_changed_on
    return {
        "device": device.pk,
        "name": device.name,
        "changed_on": changed_on.isoformat() if changed_on else "",
        "kind": device.battery_kind,
        "due": _("due") if is_due else "",
    }


def check_up_step(job: Job, come: Progress, today: date) -> Plain:
    """The ohms of each station; of one on a timer they say nothing, because its coil is off."""
    stations = stations_of_round(come)
    timers = timers_of([each.pk for each in stations])
    off = {each.pk for each in stations if was_on_timer(timers.get(each.pk, ()), today)}
    ohms = number("value", _("Ohms"), required=True, open=10_000_000, open_word=_("open (OL)"))
    return step(
        "check-up",
        _("Check up the wires"),
        cautions=[
            _(
                "Disconnect the common and switch the stations off. The mains side is for "
                "licensed electricians."
            ),
        ],
        forms=[
            form(
                "reading",
                str(station),
                _("Keep this reading"),
                [ohms, ground(job.property)],
                body={"station": station.pk, "kind": ReadingKind.OHMS.value},
                row=True,
                note=_("off the coil: on a timer") if station.pk in off else "",
            )
            for station in stations
            if station.controller.wiring != Wiring.TWO_WIRE
        ],
    )


def stations_of_round(come: Progress) -> list[Station]:
    """Return the stations that the visit goes to, in the order of walking."""
    return [each.thing for each in come.targets if isinstance(each.thing, Station)]


def devices_of_round(job: Job) -> Sequence[Device]:
    """Return the timers that the job names, else all in the ground of its property."""
    named = list(job.devices.order_by("name", "pk")[:MOST_STATIONS])
    return named or devices_offered(job.property)
