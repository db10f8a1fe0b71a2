"""Whether jobs are ready to go: soil, batteries, notice, access, the client's yes, parts, holds."""

import zoneinfo
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils.formats import time_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.models import Job, JobKind
from faults.notices.services.book import dig_of, planned_start
from faults.notices.services.terms import last_day
from faults.notices.services.words import reasons_in_words
from faults.work.engines.safety import PRIVATE, unanswered
from faults.work.engines.soak import is_moist_to_the_cable
from faults.work.services.consent_ready import job_consent
from faults.work.services.ready_facts import ReadyFacts, facts_of
from faults.work.services.ready_lines import (
    ReadyLine,
    State,
    Subject,
    lacks,
    planned,
    ready,
    unknown,
)
from faults.work.services.safety import PROMPT_WORDS
from faults.work.services.soaking import soaked_ready_on, texture_of, waiting_days
from sites.cells.engines.measures import DEPTH
from sites.models import Property


@dataclass(frozen=True)
class Readiness:
    """All lines of one job. What is not known is not ready."""

    lines: list[ReadyLine]

    @property
    def is_ready(self) -> bool:
        """Whether nothing is lacking and nothing is still to come."""
        return not self.lacking and not self.planned

    @property
    def lacking(self) -> list[ReadyLine]:
        """The lines that keep the job from going."""
        return [each for each in self.lines if each.state in (State.NOT_READY, State.NOT_KNOWN)]

    @property
    def planned(self) -> list[ReadyLine]:
        """The lines for which there is still time."""
        return [each for each in self.lines if each.state is State.PLANNED]

    @property
    def to_do(self) -> list[ReadyLine]:
        """Those that lack something which can be done before that day."""
        return [each for each in self.lacking if not each.is_final]

    @property
    def is_let_beyond(self) -> bool:
        """Whether the job goes on somebody's word, beyond the client's limit."""
        return any(each.is_on_a_word for each in self.lines)

    @property
    def barring(self) -> list[ReadyLine]:
        """Those of them that keep it from going on that day, whatever is done until then."""
        return [each for each in self.lacking if each.is_final]


def open_words(found: Readiness) -> str:
    """Say what is still open before a job can go, as its card says it; empty where nothing is."""
    said = []
    for head, lines in ((_("cannot go:"), found.barring), (_("to do before:"), found.to_do)):
        if lines:
            each = [line.words or f"{line.name}: {line.state_word}." for line in lines]
            said.append(f"{capfirst(head)} {' '.join(each)}")
    return " ".join([*said, *(line.words for line in found.planned)])


def readiness_of(jobs: Iterable[Job], *, today: date) -> dict[int, Readiness]:
    """Return the readiness of each job by its key, in a number of queries that does not grow."""
    rows = list(jobs)
    facts = facts_of(rows)
    return {job.pk: Readiness(_lines(facts, job, today)) for job in rows}


def _lines(facts: ReadyFacts, job: Job, today: date) -> list[ReadyLine]:
    place = facts.places[job.property_id]
    return [
        _soil(facts, job, place, today),
        _batteries(facts, job),
        _notice(facts, job, place, today),
        _private(facts, job),
        _access(facts, job, place),
        job_consent(facts, job, today),
        _parts(job),
        _hold(job),
    ]


def _soil(facts: ReadyFacts, job: Job, place: Property, today: date) -> ReadyLine:
    """A stake conducts and a spade enters only where the ground is moist, down to the cable."""
    if not job.digs() and job.kind != JobKind.LOCATE:
        return ReadyLine(Subject.SOIL, State.NOT_NEEDED)
    cable, rod = facts.cable_depth_in(job), job.rod_depth_in
    if cable and rod is not None:
        words = {
            "rod": DEPTH.in_words(rod, place.units),
            "cable": DEPTH.in_words(cable, place.units),
        }
        if is_moist_to_the_cable(rod_depth_in=rod, cable_depth_in=cable):
            return ready(Subject.SOIL, _("A rod goes down to the cable: %(rod)s.") % words)
        return lacks(
            Subject.SOIL,
            _("A rod stops at %(rod)s, the cable lies at %(cable)s. Soak once more.") % words,
        )
    texture = texture_of(place.soil)
    if texture is None:
        return unknown(
            Subject.SOIL,
            _("The property's soil names no texture. Enter it, or note how deep a rod goes."),
        )
    wait, day = waiting_days(texture), job.day or today
    if job.soaked_on is None and job.day is None:
        told = ngettext(
            "Once it has a day, soak the ground at least %s day before.",
            "Once it has a day, soak the ground at least %s days before.",
            wait,
        )
        return planned(Subject.SOIL, told % wait)
    if job.soaked_on is None:
        last = day - timedelta(days=wait)
        if last > today:
            return planned(
                Subject.SOIL, _("Soak the ground by %s, then note it here.") % last.isoformat()
            )
        if last < today:
            return lacks(
                Subject.SOIL,
                _("Not soaked, and %s was the last day for it. Move the job, or try a rod.")
                % last.isoformat(),
                is_final=True,
            )
        return lacks(
            Subject.SOIL, _("Soak the ground today: it is the last day for it. Then note it here.")
        )
    ready_on = soaked_ready_on(job.soaked_on, texture)
    if ready_on > day:
        return lacks(
            Subject.SOIL,
            _("Soaked on %(soaked)s: this soil is ready from %(ready)s on.")
            % {"soaked": job.soaked_on.isoformat(), "ready": ready_on.isoformat()},
            is_final=True,
        )
    return ready(Subject.SOIL, _("Soaked on %s.") % job.soaked_on.isoformat())


def _batteries(facts: ReadyFacts, job: Job) -> ReadyLine:
    devices = facts.devices.get(job.pk, 0)
    if job.kind != JobKind.BATTERIES and not devices:
        return ReadyLine(Subject.BATTERIES, State.NOT_NEEDED)
    if job.batteries_ready:
        return ready(Subject.BATTERIES, _("On the vehicle."))
    if not devices:
        return lacks(Subject.BATTERIES, _("Put batteries on the vehicle, then tick them off."))
    words = ngettext(
        "Put batteries for %s timer on the vehicle, then tick them off.",
        "Put batteries for %s timers on the vehicle, then tick them off.",
        devices,
    )
    return lacks(Subject.BATTERIES, words % devices)


def _notice(facts: ReadyFacts, job: Job, place: Property, today: date) -> ReadyLine:
    if not job.digs():
        return ReadyLine(Subject.NOTICE, State.NOT_NEEDED)
    morning = datetime.combine(today, time(12), zoneinfo.ZoneInfo(place.time_zone))
    dig = dig_of(job, start=planned_start(job, at=morning))
    judged = facts.book.judge(place, job.fault_id, dig)
    if judged.is_clear:
        last = last_day(judged)
        until = _("Clear until the end of %s.") % last.isoformat() if last else _("Clear.")
        return ready(Subject.NOTICE, until)
    if (let_go := facts.overrides.get(job.pk)) is not None:
        return ready(
            Subject.NOTICE,
            _("Let go by %(who)s against the notice: %(why)s")
            % {"who": let_go.by or _("somebody"), "why": let_go.reason},
        )
    return lacks(Subject.NOTICE, " ".join(reasons_in_words(judged)), is_final=True)


def _private(facts: ReadyFacts, job: Job) -> ReadyLine:
    """Lines that no utility marks are asked for before a dig: the gate asks for the same ones."""
    if not job.digs():
        return ReadyLine(Subject.PRIVATE, State.NOT_NEEDED)
    if open_ones := unanswered(PRIVATE, facts.safety.get(job.pk, {})):
        asked = " ".join(str(PROMPT_WORDS[prompt]) for prompt in open_ones)
        return lacks(
            Subject.PRIVATE,
            _("Have them marked, or enter who lets the dig go without: %s") % asked,
        )
    return ready(Subject.PRIVATE, _("Each is marked, not there, or let go with a name."))


def _access(facts: ReadyFacts, job: Job, place: Property) -> ReadyLine:
    if job.day is None:
        return unknown(Subject.ACCESS, _("No day is set."))
    day = facts.access.open_on(place.pk, job.day)
    if not day.hours:
        why = day.why or _("the property is closed on this weekday")
        return lacks(
            Subject.ACCESS,
            _("Nobody may work here on %(day)s: %(why)s. Choose another day.")
            % {"day": job.day.isoformat(), "why": why},
            is_final=True,
        )
    hours = ", ".join(f"{time_format(a, 'H:i')}–{time_format(b, 'H:i')}" for a, b in day.hours)
    starts_at = job.starts_at
    is_long_enough = (
        day.holds(starts_at, job.expected_minutes)
        if starts_at
        else day.longest_min() >= job.expected_minutes
    )
    if not is_long_enough:
        return lacks(
            Subject.ACCESS,
            _("Open %(hours)s: too short for %(minutes)s minutes. Start sooner, or split the job.")
            % {"hours": hours, "minutes": job.expected_minutes},
        )
    is_any_time = day.longest_min() == 24 * 60
    return ready(Subject.ACCESS, _("Open at any time.") if is_any_time else _("Open %s.") % hours)


def _parts(job: Job) -> ReadyLine:
    if not job.parts_needed.strip():
        return ReadyLine(Subject.PARTS, State.NOT_NEEDED)
    if job.parts_ready:
        return ready(Subject.PARTS, _("On the vehicle."))
    return lacks(Subject.PARTS, _("Put on the vehicle: %s") % job.parts_needed.strip())


def _hold(job: Job) -> ReadyLine:
    if not job.held_for or job.held_since is None:
        return ReadyLine(Subject.HOLD, State.NOT_NEEDED)
    return lacks(
        Subject.HOLD,
        _("Held for %(what)s since %(day)s. Release it when that is over.")
        % {"what": job.get_held_for_display(), "day": job.held_since.isoformat()},
        is_final=True,
    )
