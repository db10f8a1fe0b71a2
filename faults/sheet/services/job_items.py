"""Things about the visit itself: started, looked at, on the vehicle, photos, finished."""

import base64
import binascii
from io import BytesIO

from django.utils.translation import gettext as _

from faults.cases.services.photos import add_fault_photo
from faults.models import Break, HeldFor, JobState, SheetItem, Shows
from faults.sheet.services.told import Item, UnableToTakeIn, WroteSomethingElse, kind
from faults.work.engines.safety import PRIVATE, Prompt, Situation, private_words
from faults.work.queries.people import people_of_crew, with_sender
from faults.work.services import finish_job, hold_job, load_vehicle, release_job, start_job
from faults.work.services.people import Times, is_entered, note_people
from faults.work.services.photos import add_job_photo
from faults.work.services.safety import answer_safety, field_of, situations_of
from faults.work.services.soaking import note_soak
from sites.kernel.engines.roles import Action
from sites.register.services.photos import PreparedPhoto, prepare_photo


@kind("start", Action.WORK_JOBS)
def start(item: Item) -> str:
    """Start the visit. Another member of the crew may have tapped it already."""
    item.job.refresh_from_db()
    if item.job.state == JobState.STARTED:
        return ""
    start_job(job=item.job, at=item.at, today=item.on, by=item.by)
    return ""


@kind("finish", Action.WORK_JOBS)
def finish(item: Item) -> str:
    """The visit ends with the minutes that it took."""
    minutes = item.said.whole("minutes") or 0
    done = item.job.actual_minutes
    if item.job.state == JobState.DONE and done is not None:
        if done == minutes:
            return ""
        raise WroteSomethingElse(
            mine=_("%s minutes") % minutes, theirs=_("done in %s minutes") % done
        )
    finish_job(job=item.job, actual_minutes=minutes, at=item.at, by=item.by)
    return ""


@kind("people", Action.WORK_JOBS)
def people(item: Item) -> str:
    """Who was there together. Another member of the crew may have sent the same already."""
    said = item.said
    on, starts, ends = said.day("on") or item.on, said.time("starts"), said.time("ends")
    if starts is None or ends is None:
        raise UnableToTakeIn(_("From when to when? Enter both times."), field="starts")
    times, did = Times(on, starts, ends), said.words("did", 10)
    keys = set(said.keys("people"))
    offered = with_sender(people_of_crew(item.job, on), item.by)
    users = [user for user in offered if user.pk in keys]
    if len(users) < len(keys):
        raise UnableToTakeIn(
            _("One of these people is not in the crew of that day. Tell the office.")
        )
    names = [" ".join(name.split()) for name in said.words("others", 200).split(",")]
    users = [user for user in users if not is_entered(item.job, user, "", did, times)]
    others = [name for name in names if name and not is_entered(item.job, None, name, did, times)]
    if keys and not users and not others:
        return ""
    made = note_people(
        job=item.job, people=users, others=others, did=did, times=times, by=item.by, at=item.now
    )
    return f"person:{made[0].pk}"


@kind("hold", Action.WORK_JOBS)
def hold(item: Item) -> str:
    """The job waits for the weather, parts or access."""
    held_for = item.said.words("held_for")
    if item.job.held_for and item.job.held_for != held_for:
        words = dict(HeldFor.choices)
        raise WroteSomethingElse(
            mine=str(words.get(held_for, held_for)), theirs=str(item.job.get_held_for_display())
        )
    if not item.job.held_for:
        hold_job(job=item.job, held_for=held_for, since=item.on, today=item.today)
    return ""


@kind("release", Action.WORK_JOBS)
def release(item: Item) -> str:
    """It waits no longer."""
    if item.job.held_for:
        release_job(job=item.job)
    return ""


@kind("vehicle", Action.WORK_JOBS)
def vehicle(item: Item) -> str:
    """What is on the vehicle."""
    said = item.said
    load_vehicle(
        job=item.job,
        parts_ready=said.ticked("parts_ready"),
        batteries_ready=said.ticked("batteries_ready"),
    )
    return ""


@kind("soil", Action.WORK_JOBS)
def soil(item: Item) -> str:
    """How deep a slim rod went by hand: whether a ground stake conducts."""
    depth = item.said.number("rod_depth_in")
    soaked_on = item.said.day("soaked_on") or item.job.soaked_on
    note_soak(job=item.job, soaked_on=soaked_on, rod_depth_in=depth, today=item.today)
    return ""


@kind("safety", Action.WORK_JOBS)
def safety(item: Item) -> str:
    """What a dig must think of, at its depth."""
    said, depth = item.said, item.said.number("depth_in")
    if depth is None:
        raise UnableToTakeIn(_("How deep will the hole be?"), field="depth_in")
    around = set(situations_of(item.job))
    if "situations" in said.body:
        known = {each.value for each in Situation}
        around = {Situation(word) for word in said.many("situations") if word in known}
    answers = {prompt: said.words(field_of(prompt), 200) for prompt in Prompt}
    for prompt in PRIVATE:
        by = said.words(f"{field_of(prompt)}_by", 120)
        answers[prompt] = private_words(answers[prompt], by)
    answer_safety(
        job=item.job, depth_in=depth, situations=around, answers=answers, by=item.by, at=item.at
    )
    return ""


@kind("looked", Action.WORK_JOBS)
def looked(item: Item) -> str:
    """Ticks of a checklist: the row of the thing itself is their record, on the job's page."""
    if not item.said.words("list", 40) or not item.said.many("done"):
        raise UnableToTakeIn(_("Nothing is ticked yet."))
    return ""


@kind("photo", Action.WORK_JOBS)
def photo(item: Item) -> str:
    """A photo of the visit, or of a break that may have been recorded just before it."""
    said, prepared = item.said, prepared_from(item)
    caption = " ".join(said.words("caption", 200).split())
    one = the_break(item, "of_break")
    if one is not None and item.job.fault is not None:
        shows = said.words("shows")
        row = add_fault_photo(
            fault=item.job.fault,
            photo=prepared,
            by=item.by,
            at=item.at,
            of_break=one,
            shows=shows if shows in Shows.values else "",
            caption=caption,
        )
        return f"faultphoto:{row.pk}"
    kept = add_job_photo(job=item.job, photo=prepared, by=item.by, at=item.at, caption=caption)
    return f"jobphoto:{kept.pk}"


def prepared_from(item: Item) -> PreparedPhoto:
    """Return the picture of a thing, re-encoded."""
    words = item.said.body.get("picture")
    if not isinstance(words, str) or not words:
        raise UnableToTakeIn(_("The photo came without its picture. Take it again."))
    try:
        content = base64.b64decode(words.rpartition(",")[2], validate=True)
    except binascii.Error as problem:
        raise UnableToTakeIn(_("The photo cannot be read. Take it again.")) from problem
    return prepare_photo(BytesIO(content), keep_position=False)


def the_break(item: Item, name: str) -> Break | None:
    """Return a break of the job's fault by its key, or by the thing that recorded it."""
    if item.job.fault is None:
        return None
    rows = Break.objects.filter(fault=item.job.fault)
    if (sent := item.said.uuid(f"{name}_sent")) is not None:
        made = SheetItem.objects.filter(pk=sent, job=item.job).values_list("made", flat=True)
        what, _colon, key = (made.first() or "").partition(":")
        if what != "break":
            raise UnableToTakeIn(
                _("The break that this belongs to was not kept. Record the break first.")
            )
        return rows.get(pk=int(key))
    key_given = item.said.key(name)
    return rows.filter(pk=key_given).first() if key_given is not None else None
