"""Readings, walks and battery rounds, one station or timer at a time."""

from contextlib import suppress

from django.db.transaction import atomic
from django.utils import formats
from django.utils.translation import gettext as _

from faults.cases.services.report import Report, report_fault
from faults.models import (
    CLOSED_STAGES,
    FaultStation,
    JobKind,
    LeftOut,
    Reading,
    SheetItem,
    WalkNote,
    WalkResult,
)
from faults.readings.services.checkup import walk
from faults.readings.services.loops import lead_home
from faults.readings.services.readings import take_reading, void_reading
from faults.rounds.services.leaving import leave_out, take_back_left_out
from faults.sheet.services.told import Item, UnableToTakeIn, WroteSomethingElse, kind
from faults.work.services import assign_job, plan_job
from faults.work.services.defaults import facts_for
from sites.cells.engines.measures import TEMPERATURE
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct
from sites.models import Device, Station
from sites.stopgaps.services.batteries import change_battery, correct_battery


@kind("reading", Action.TAKE_READINGS)
def reading(item: Item) -> str:
    """One measurement of a station."""
    said, value = item.said, item.said.number("value")
    if value is None:
        raise UnableToTakeIn(_("What does the meter show?"), field="value")
    row = take_reading(
        station=the_station(item),
        kind=said.words("kind", 12),
        value=value,
        taken_on=item.on,
        today=item.today,
        by=item.by,
        taken_by=str(item.by)[:60],
        is_loaded=True if said.ticked("is_loaded") else None,
        temperature_f=_ground_f(item),
        notes=said.words("notes", 300),
        across_ohms=said.number("across_ohms"),
        is_open_apart=said.flag("is_open_apart"),
    )
    return f"reading:{row.pk}"


def _ground_f(item: Item) -> float | None:
    """Return the ground's temperature as it was typed: in the units of the property."""
    typed = item.said.number("temperature")
    if typed is None:
        return None
    return TEMPERATURE.to_stored(typed, TEMPERATURE.default(item.job.property.units))


@kind("home", Action.MOVE_FAULT)
def home(item: Item) -> str:
    """A wire that read sound: its station goes on to the proof, by the same crew that day."""
    row = lead_home(station=the_station(item), by=item.by, at=item.at, today=item.on)
    job = plan_job(
        place=item.job.property,
        kind=JobKind.RETURN,
        facts=facts_for(JobKind.RETURN, row.fault),
        fault=row.fault,
        stations=[row.station],
        by=item.by,
        today=item.today,
    )
    if item.job.crew is not None:
        # A crew that is away or gone by now leaves the job to the dispatcher.
        with suppress(UnableToAct), atomic():
            assign_job(
                job=job,
                crew=item.job.crew,
                day=item.today,
                by=item.by,
                at=item.now,
                today=item.today,
                # They stand there already: no working time keeps them from it.
                why=_("found sound on the round"),
            )
    return f"job:{job.pk}"


@kind("void", Action.TAKE_READINGS)
def void(item: Item) -> str:
    """A reading of this sheet was wrong: it stays, and counts nowhere."""
    of = item.said.uuid("of")
    made = SheetItem.objects.filter(pk=of, job=item.job).first() if of else None
    what, _colon, key = (made.made if made else "").partition(":")
    if what != "reading":
        raise UnableToTakeIn(_("The reading that this takes back was not kept: nothing to do."))
    row = Reading.objects.get(pk=int(key))
    if row.voided_on is None:
        why = item.said.words("why", 200) or _("tapped by mistake")
        void_reading(reading=row, why=why, today=item.today)
    return ""


@kind("walk", Action.TAKE_READINGS)
def walk_one(item: Item) -> str:
    """What one station did as seen at its valve."""
    station, result = the_station(item), item.said.words("result")
    if result not in WalkResult.values:
        raise UnableToTakeIn(_("What did the station do?"), field="result")
    known = WalkNote.objects.filter(station=station, seen_on=item.on).first()
    by_another = known is not None and known.by_id != item.by.pk
    if known is not None and by_another and known.result != result and not item.is_over:
        raise WroteSomethingElse(
            mine=f"{station}: {WalkResult(result).label}",
            theirs=f"{station}: {known.get_result_display()} ({known.by})",
        )
    note = item.said.words("note", 200) or (known.note if known is not None else "")
    walk(seen=[(station, result, note)], seen_on=item.on, today=item.today, by=item.by)
    return ""


@kind("left", Action.WORK_JOBS)
def left_one(item: Item) -> str:
    """A station or timer of the visit is left, and why."""
    thing = the_device(item) if item.said.key("device") else the_station(item)
    row = leave_out(
        job=item.job,
        thing=thing,
        why=item.said.words("why", 12),
        note=item.said.words("note", 200),
        on=item.on,
        by=item.by,
        today=item.today,
    )
    return f"left:{row.pk}"


@kind("left back", Action.WORK_JOBS)
def left_back(item: Item) -> str:
    """It is still to be done."""
    of = item.said.uuid("of")
    made = SheetItem.objects.filter(pk=of, job=item.job).first() if of else None
    what, _colon, key = (made.made if made else "").partition(":")
    if what != "left":
        raise UnableToTakeIn(_("What this takes back was not kept: nothing to do."))
    row = LeftOut.objects.get(pk=int(key))
    if row.taken_back_on is None:
        take_back_left_out(left=row, today=item.today)
    return ""


@kind("report", Action.REPORT_FAULT)
def report(item: Item) -> str:
    """A station that was seen not to work becomes a fault, unless it has an open one already."""
    station = the_station(item)
    known = FaultStation.objects.filter(station=station).exclude(stage__in=CLOSED_STAGES)
    if known.exists():
        return ""
    told = Report(
        reported_on=item.on,
        summary=_("seen not to work: %s") % item.job.get_kind_display(),
    )
    row = report_fault(
        place=item.job.property,
        stations=[station],
        report=told,
        by=item.by,
        at=item.at,
        today=item.today,
    )
    return f"fault:{row.pk}"


@kind("battery", Action.CHANGE_STOPGAPS)
def battery(item: Item) -> str:
    """A new battery set in one timer."""
    device = the_device(item)
    type_of_set, known = item.said.words("battery_kind", 40), device.battery_changed_on
    type_of_set = type_of_set or device.battery_kind
    was = item.said.words("found", 8)
    if known == item.on and device.battery_kind == type_of_set:
        if was and was != device.battery_found:
            correct_battery(
                device=device,
                on=known,
                kind=type_of_set,
                found=was,
                why=_("the crew that changed it says so"),
                today=item.today,
            )
        return ""
    if known is not None and known >= item.on:
        if not item.is_over:
            raise WroteSomethingElse(
                mine=_set_in_words(item.on.isoformat(), type_of_set),
                theirs=_set_in_words(known.isoformat(), device.battery_kind),
            )
        correct_battery(
            device=device,
            on=item.on,
            kind=type_of_set,
            found=was,
            why=_("the crew that changed it says so"),
            today=item.today,
        )
        return ""
    change_battery(device=device, on=item.on, kind=type_of_set, found=was, today=item.today)
    return ""


def _set_in_words(day: str, type_of_set: str) -> str:
    return formats.sanitize_separators(f"{day} {type_of_set}").strip()


def the_device(item: Item) -> Device:
    """Return the battery timer that a thing names, of the job's property."""
    rows = Device.objects.filter(property=item.job.property)
    device = rows.filter(pk=item.said.key("device") or 0).first()
    if device is None:
        raise UnableToTakeIn(_("This battery timer is not known here any more."))
    return device


def the_station(item: Item) -> Station:
    """Return the station that a thing names, of the job's property."""
    rows = Station.objects.filter(controller__property=item.job.property)
    station = (
        rows.select_related("controller__property").filter(pk=item.said.key("station") or 0).first()
    )
    if station is None:
        raise UnableToTakeIn(_("This station is not known here any more."))
    return station
