"""The steps of a visit to a fault, from the yard to the dig, and the way home."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from faults.cases.engines.stages import Stage
from faults.cases.services.opened import ground_was_opened
from faults.cases.services.proof_asks import is_two_wire
from faults.models import (
    FaultStation,
    Job,
    Reading,
    ReadingKind,
    WalkResult,
)
from faults.sheet.forms.fields import (
    Plain,
    asked,
    checklist,
    choice,
    field,
    form,
    ground,
    marks_form,
    number,
    photo_form,
    step,
)
from faults.work.forms.job_lines import SafetyForm
from faults.work.forms.jobs import FinishForm, HoldForm, VehicleForm
from faults.work.forms.people import PeopleForm
from faults.work.forms.soak import NoteSoakForm
from faults.work.queries.people import people_of_crew, with_sender
from faults.work.services.people import user_words
from faults.work.services.readiness import Readiness
from sites.models import Station, User

BEFORE_FOUND = [Stage.REPORTED.value, Stage.SCHEDULED.value]


@dataclass(frozen=True)
class Visit:
    """What the steps of one visit are made from."""

    job: Job
    rows: Sequence[FaultStation]
    neighbours: Sequence[Station]
    readiness: Readiness
    last_ohms: dict[int, Reading]
    hand_dug: str
    user: User
    today: date
    lacks_to_start: str = ""
    short_of_skill: str = ""


def local_law() -> str:
    """Return the sentence that stands beside every rule of ours."""
    return _(
        "Prompts, not legal advice: local codes and licensed practice decide. Before anybody digs, "
        "have underground utilities marked (call 811 in the US)."
    )


def before(visit: Visit) -> Plain:
    """Before you go: what the job lacks, what to take along, what to look out for."""
    job = visit.job
    ready = [
        {"name": each.name, "state": each.slug, "word": each.state_word, "words": each.words}
        for each in visit.readiness.lines
        if each.state.value != "not needed"
    ]
    start = form("start", _("Start the visit"), _("Start"), [], states=["planned"])
    if lacking := visit.lacks_to_start or visit.short_of_skill:
        who = {"name": _("Who goes"), "state": "not-ready", "word": _("not ready")}
        ready.insert(0, {**who, "words": lacking})
    take = {
        "transmitter": _("transmitter of the wire tracer"),
        "receiver": _("receiver"),
        "spare_batteries": _("spare batteries for both"),
        "stake": _("ground stake, and water to wet the soil round it"),
        "meter": _("multimeter, clamp meter"),
        "paint": _("paint or flags"),
        "valve_key": _("valve key, slim rod"),
        "access": _("access: keys, gate code, whom to tell"),
    }
    known = {name: {"value": getattr(job, name)} for name in VehicleForm.base_fields}
    load = asked(VehicleForm.base_fields, *known, **known)
    rod = asked(NoteSoakForm(job=job).fields, "rod_depth_in", rod_depth_in={"required": True})
    return step(
        "before",
        _("Before you go"),
        lead=job.equipment,
        parts=job.parts_needed,
        lines=ready,
        cautions=[
            _("The mains side of the controller is for licensed electricians: leave it shut."),
            _("24 V is not safe on wet skin. Look out for traffic, heat and animals in boxes."),
            local_law(),
        ],
        lists=[checklist("before you go", _("Take along"), take)],
        forms=[
            *([] if visit.lacks_to_start else [start]),
            form("vehicle", _("On the vehicle"), _("Note it"), load),
            form("soil", _("Is the soil wet enough for a stake?"), _("Keep this depth"), rod),
            _hold(),
        ],
    )


def _hold() -> Plain:
    what = asked(HoldForm.base_fields, "held_for")
    return form("hold", _("It cannot go on"), _("Hold it"), what, folded=True)


def arrive(visit: Visit) -> Plain:
    """At the controller: what stays shut, what is isolated, what the wire reads, who runs."""
    seen = {
        "mains_shut": _("The mains side was not opened"),
        "isolated": _("This wire is off its terminal; the others are as they were"),
        "power_known": _("The controller has power, and I know where it is switched off"),
    }
    several = len(visit.rows) > 1
    return step(
        "arrive",
        _("At the controller"),
        cautions=[
            _("Do not open the mains side. If it must be opened, call a licensed electrician.")
        ],
        lists=[checklist("at the controller", _("Seen"), seen)],
        # On a two-wire path no station has ohms of its own.
        forms=[_ohms(row, several, visit.last_ohms) for row in visit.rows if not is_two_wire(row)],
        forms_first=True,
        stations=[
            {"station": each.pk, "name": str(each), "clock": str(each.controller)}
            for each in visit.neighbours
        ],
        stations_title=_("Which others run?"),
        all_run=all_run(),
        results=[[value, str(word)] for value, word in WalkResult.choices],
    )


def all_run() -> list[str]:
    """Return the result, its word, and the words of one tap for all that are left."""
    word = str(WalkResult.WORKS.label)
    return [WalkResult.WORKS.value, word, _("All other %s run")]


def _ohms(row: FaultStation, several: bool, last: dict[int, Reading]) -> Plain:
    known = last.get(row.station_id)
    title = _("Ohms of %s at the controller") % row.station if several else _("Ohms of this wire")
    note = ""
    if known is not None:
        note = _("Last time: %(value)s ohms, %(day)s.") % {
            "value": f"{known.value:g}",
            "day": known.taken_on.isoformat(),
        }
    body = {"station": row.station_id, "kind": ReadingKind.OHMS.value}
    value = number("value", _("The meter shows"), required=True, open=10_000_000, unit="Ω")
    open_word = _("open (OL)")
    return form(
        "reading", title, _("Keep this reading"),
        [{**value, "open_word": open_word}, ground(row.station.controller.property)],
        body=body, note=note,
    )  # fmt: skip


def digging(visit: Visit) -> Plain:
    """Who is to dig, and what is said before and after."""
    who = [
        ("us", _("we, after the client's yes")),
        ("client", _("the client's own people")),
        ("others", _("others, with us standing by")),
        ("nobody", _("nobody: at the terminals or in an open box")),
    ]
    fields = [
        choice("who", _("Who digs?"), who, required=True, undug=["nobody", ground_was_opened()]),
        field("notes", "text", _("What the office should know"), most=120),
    ]
    before_it = [marks_form(), _safety(visit)] if visit.job.digs() else []
    return step(
        "digs",
        _("Who digs"),
        cautions=[local_law(), visit.hand_dug, _("Shut the main, or hold it in place.")],
        forms=[form("digs", _("Who digs"), _("Tell the office"), fields), *before_it],
    )


def _safety(visit: Visit) -> Plain:
    """The hole, what is around it, and the prompts of its depth; another depth asks for others."""
    office = SafetyForm(job=visit.job)
    names = [name for _heading, several in office.grouping() for name in several]
    known = {name: {"value": office.initial.get(name, "")} for name in names}
    fields = asked(office.fields, *names, **known)
    return form("safety", _("Before the hole is dug"), _("Keep this"), fields)


def finish(visit: Visit) -> Plain:
    """The end of the visit, with its minutes and a last photo."""
    own = {"name": "minutes", "elapsed": True}
    minutes = asked(FinishForm.base_fields, "actual_minutes", actual_minutes=own)
    none = _("Nobody has started this visit. Start it under “Before you go”.")
    title = _("Finish the visit")
    done = form("finish", title, _("It is done"), minutes, states=["started"], none=none)
    return step("finish", _("Finish"), forms=[photo_form(), _people(visit), done])


def _people(visit: Visit) -> Plain:
    """Who was there together; who did other work, or came later, goes in by itself."""
    crew = people_of_crew(visit.job, visit.today)
    offered = with_sender(crew, visit.user)
    office = PeopleForm(job=visit.job, today=visit.today, crew=offered)
    began = office.initial.get("starts")
    known = {
        "people": {
            "options": [[user.pk, user_words(user)] for user in offered],
            "value": [user.pk for user in crew or offered],
        },
        "did": {"value": office.initial["did"]},
        "starts": {"value": began.strftime("%H:%M") if began else ""},
        "on": {"value": visit.today.isoformat()},
    }
    names = ("people", "others", "did", "on", "starts", "ends")
    note = _("The hours of all people count. Nobody entered: the whole crew counts.")
    fields = asked(office.fields, *names, **known)
    return form("people", _("Who was there"), _("Keep who was there"), fields, note=note)
