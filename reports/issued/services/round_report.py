"""What was done on a round: walked of all, left and why, faults out of it, day by day.

It tells of the turns that began in the period, as they stood on its last day: what was recorded
later belongs to a later report.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Prefetch
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.models import Fault, FaultStation, JobState, Round, RoundVisit
from faults.rounds.services.progress import Progress as Come
from faults.rounds.services.progress import Target, percent_of, progress_of
from faults.rounds.services.words import reason_words, repeats_words, state_words
from reports.issued.services.asking import Asked, Scene
from reports.issued.services.faults_part import plain_symptom
from sites.documents.engines import figures
from sites.documents.engines.document import Facts, Figure, Section, Table
from sites.models import Property, Station, today_at
from sites.runs.services import Progress


@dataclass(frozen=True)
class _Turn:
    """A visit as it stood on the last day that is told, `until_on`."""

    visit: RoundVisit
    come: Come | None
    until_on: date

    @property
    def place(self) -> Property:
        """Where it went."""
        return self.visit.property

    @property
    def targets(self) -> Sequence[Target]:
        """The stations or timers that it goes to."""
        return self.come.targets if self.come else ()

    @property
    def done(self) -> list[tuple[date, Target]]:
        """What was recorded by then, with its day."""
        return [
            (one.done_on, one)
            for one in self.targets
            if one.done_on is not None and one.done_on <= self.until_on
        ]

    @property
    def left(self) -> list[Target]:
        """What was not."""
        done = {id(one) for _on, one in self.done}
        return [one for one in self.targets if id(one) not in done]

    @property
    def faults(self) -> list[Fault]:
        """The faults that were reported out of it by then."""
        known = self.come.faults if self.come else ()
        return [fault for fault in known if fault.reported_on <= self.until_on]

    @property
    def is_over(self) -> bool:
        """Whether the visit had ended by then."""
        job = self.visit.job
        if job is None or job.state == JobState.WITHDRAWN:
            return True
        ended = job.ended_at
        return ended is not None and today_at(self.place, ended) <= self.until_on

    @property
    def state(self) -> str:
        """How it stood, in words."""
        if self.is_over:
            return state_words(self.come)
        return str(JobState.STARTED.label if self.has_begun else JobState.PLANNED.label)

    @property
    def has_begun(self) -> bool:
        """Whether anybody was there by then."""
        job = self.visit.job
        started = job.started_at if job else None
        return started is not None and today_at(self.place, started) <= self.until_on

    def why_left(self, target: Target) -> str:
        """Return why one was left; before the end of a visit it may still be done."""
        if target.left is not None and target.left.on <= self.until_on:
            return reason_words(target)
        return _("nobody said why") if self.is_over else _("not done yet")


def round_sections(
    asked: Asked, places: Sequence[Property], at: datetime, progress: Progress
) -> list[Section]:
    """Return what a round was at these properties."""
    progress.say(_("Putting the report together"))
    assert asked.round is not None
    turns = _turns(asked, asked.round, places, at)
    sections = [
        Section("round", _("The round"), [_summary(asked.round, places, turns)]),
        Section("visits", _("Its visits"), [_visits(turns)]),
        Section("left", _("Left, and why"), [_left(turns)]),
        Section("faults", _("Faults reported out of it"), [_faults(turns)]),
    ]
    if dead := [(turn, station) for turn in turns for station in _dead(turn)]:
        sections.append(Section("dead", _("Seen not to work, without a fault"), [_list(dead)]))
    return [*sections, Section("days", _("Day by day"), [_days(turns)])]


def _turns(asked: Asked, the_round: Round, places: Sequence[Property], at: datetime) -> list[_Turn]:
    until = {place.pk: Scene(asked, place, at).until_on for place in places}
    rows = RoundVisit.objects.filter(
        round=the_round, property__in=until, begins_on__range=(asked.from_on, asked.until_on)
    ).select_related("property", "job__property", "job__crew")
    visits = [
        visit
        for visit in rows.order_by("due_on", "property__code", "pk")
        if visit.begins_on <= until[visit.property_id]
    ]
    begins = {visit.job_id: visit.begins_on for visit in visits if visit.job_id}
    come = progress_of([visit.job for visit in visits if visit.job is not None], begins)
    return [_Turn(visit, come.get(visit.job_id or 0), until[visit.property_id]) for visit in visits]


def _summary(the_round: Round, places: Sequence[Property], turns: Sequence[_Turn]) -> Facts:
    total = sum(len(turn.targets) for turn in turns)
    done = sum(len(turn.done) for turn in turns)
    percent = percent_of(done, total)
    faults = {fault.pk for turn in turns for fault in turn.faults}
    rows = [
        (_("What for"), figures.text(capfirst(str(the_round.get_purpose_display())))),
        (_("How often"), figures.text(repeats_words(the_round))),
        (_("Properties"), figures.count(len(places))),
        (_("Stations or timers it goes to"), figures.count(total)),
        (_("Done"), figures.count(done)),
        (_("Left"), figures.count(total - done)),
        (
            _("Per cent done"),
            figures.count(percent) if percent is not None else Figure(_("not known")),
        ),
        (_("Faults reported out of it"), figures.count(len(faults))),
    ]
    if the_round.ended_on:
        rows.append((_("Ended on"), figures.day(the_round.ended_on)))
    return Facts("round", rows)


def _visits(turns: Sequence[_Turn]) -> Table:
    rows = []
    for turn in turns:
        job = turn.visit.job
        rows.append(
            [
                figures.day(turn.visit.due_on),
                figures.text(turn.place),
                figures.text(turn.state),
                figures.day(job.day if job else None),
                figures.text(job.crew if job and job.crew else ""),
                figures.count(len(turn.done)),
                figures.count(len(turn.targets)),
                figures.count(len(turn.faults)),
            ]
        )
    headings = [
        _("Due"), _("Property"), _("State"), _("Day"), _("Who"), _("Done"), _("Of"), _("Faults"),
    ]  # fmt: skip
    return Table("visits", "", headings, rows, [5, 6, 7], _("No turn of it began in this period."))


def _left(turns: Sequence[_Turn]) -> Table:
    rows = [
        [figures.text(turn.place), figures.text(what), figures.text(why)]
        for turn in turns
        for what, why in _left_of(turn)
    ]
    headings = [_("Property"), _("Station or timer"), _("Why")]
    return Table("left", "", headings, rows, [], _("Nothing was left."))


def _left_of(turn: _Turn) -> list[tuple[str, str]]:
    """Return what was left and why; of a visit that nobody has begun how many, in one line."""
    if turn.left and not turn.done and not turn.has_begun and not turn.is_over:
        words = ngettext("all: %(n)s station or timer", "all: %(n)s stations or timers",
                         len(turn.left))  # fmt: skip
        return [(words % {"n": len(turn.left)}, _("nobody has been there yet"))]
    return [(_named(target), turn.why_left(target)) for target in turn.left]


def _faults(turns: Sequence[_Turn]) -> Table:
    places = {fault.pk: turn.place for turn in turns for fault in turn.faults}
    stations = FaultStation.objects.select_related("station__controller").order_by("pk")
    known = Fault.objects.filter(pk__in=places).prefetch_related(Prefetch("stations", stations))
    rows = [
        [
            figures.day(fault.reported_on),
            figures.text(places[fault.pk]),
            figures.text(fault),
            figures.text(", ".join(str(row.station) for row in fault.stations.all())),
            figures.text(plain_symptom(fault)),
        ]
        for fault in known.order_by("reported_on", "pk")
    ]
    headings = [_("Reported"), _("Property"), _("Fault"), _("Stations"), _("Symptom")]
    return Table("faults", "", headings, rows, [], _("No fault was reported out of it."))


def _dead(turn: _Turn) -> Sequence[Station]:
    """A fault that is open today may have come later; what was seen by then is not known apart."""
    return turn.come.dead if turn.come and turn.is_over else ()


def _list(dead: Sequence[tuple[_Turn, Station]]) -> Table:
    rows = [
        [figures.text(turn.place), figures.text(f"{one} {one.name}".strip())] for turn, one in dead
    ]
    return Table("dead", "", [_("Property"), _("Station")], rows)


def _days(turns: Sequence[_Turn]) -> Table:
    """What was done on each day, in order of the days, the names of a property in one line."""
    lines: dict[tuple[date, str, int], list[str]] = {}
    by_key = {turn.place.pk: turn.place for turn in turns}
    for turn in turns:
        for on, target in turn.done:
            line = lines.setdefault((on, turn.place.code, turn.place.pk), [])
            line.append(str(target.thing))
    rows = [
        [
            figures.day(on),
            figures.text(by_key[key]),
            figures.text(", ".join(names)),
            figures.count(len(names)),
        ]
        for (on, _code, key), names in sorted(lines.items(), key=lambda each: each[0])
    ]
    headings = [_("On"), _("Property"), _("Stations or timers"), _("How many")]
    return Table("days", "", headings, rows, [3], _("Nothing was recorded yet."))


def _named(target: Target) -> str:
    name = target.thing.name if isinstance(target.thing, Station) else ""
    return f"{target.thing} {name}".strip()
