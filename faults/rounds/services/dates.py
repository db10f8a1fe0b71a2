"""The dated list of rounds for a client: what was done and left, what is planned, what comes."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from faults.models import Round, RoundVisit
from faults.rounds.engines.turns import turns_of
from faults.rounds.queries.rounds import running_rounds, stops_shown, visits_between
from faults.rounds.services.progress import Progress, progress_of
from faults.rounds.services.told import rhythm_of, season_of
from faults.rounds.services.words import left_words, state_words
from sites.cells.services.shown import Cell
from sites.cells.services.writing import Written
from sites.models import Property, User, today_at


@dataclass(frozen=True)
class Dated:
    """One line: a turn of a round at a property. `progress` None = it is not planned yet, or
    there was nothing to go to."""

    the_round: Round
    place: Property
    begins_on: date
    due_on: date
    visit: RoundVisit | None = None
    progress: Progress | None = None

    @property
    def state(self) -> str:
        """How it stands, in words."""
        return state_words(self.progress) if self.visit else _("comes")

    @property
    def planned_on(self) -> date | None:
        """The day on which a crew goes, or went."""
        return self.progress.job.day if self.progress else None

    @property
    def left(self) -> str:
        """What was left and why, once the visit is over."""
        if self.progress is None or not self.progress.is_over:
            return ""
        return left_words(self.progress.left)

    @property
    def faults(self) -> str:
        """The faults that were reported out of it."""
        return ", ".join(str(each) for each in self.progress.faults) if self.progress else ""


def dated_list(
    user: User,
    *,
    since: date,
    until: date,
    at: datetime,
    client: int | None = None,
    the_round: int | None = None,
) -> list[Dated]:
    """Return the turns that are due in these days, both included, in order of their days.

    Args:
        client, the_round: keys, to narrow it to one; None = all that the user may see.
    """
    narrowed = Q() if the_round is None else Q(round=the_round)
    if client is not None:
        narrowed &= Q(property__client=client)
    visits = visits_between(user, since=since, until=until, narrowed=narrowed)
    found = _planned(visits)
    wanted = Q() if the_round is None else Q(pk=the_round)
    for one in running_rounds(user, wanted):
        found += [
            each
            for each in _coming(user, one, until, at)
            if since <= each.due_on <= until and client in (None, each.place.client_id)
        ]
    return sorted(found, key=lambda each: (each.due_on, each.place.code, each.the_round.pk))


def _planned(visits: Sequence[RoundVisit]) -> list[Dated]:
    jobs = [visit.job for visit in visits if visit.job is not None]
    begins = {visit.job_id: visit.begins_on for visit in visits if visit.job_id}
    come = progress_of(jobs, begins)
    return [
        Dated(
            visit.round,
            visit.property,
            visit.begins_on,
            visit.due_on,
            visit,
            come.get(visit.job_id or 0),
        )
        for visit in visits
    ]


def _coming(user: User, the_round: Round, until: date, at: datetime) -> Iterator[Dated]:
    """Yield the turns that are not planned yet, from today on."""
    last: dict[int, date] = {}
    names: set[tuple[int, str]] = set()
    for key, name, begins in the_round.visits.order_by("pk").values_list(
        "property", "turn", "begins_on"
    ):
        last[key] = max(begins, last.get(key, begins))
        names.add((key, name))
    for stop in stops_shown(user, the_round):
        place = stop.property
        if place.retired_on is not None:
            continue
        since = max(today_at(place, at), last.get(place.pk, the_round.starts_on))
        turns = turns_of(rhythm_of(the_round), season_of(place), since=since, until=until)
        for turn in turns:
            if (place.pk, turn.name) not in names:
                yield Dated(the_round, place, turn.begins_on, turn.due_on)


def dated_file(rows: Sequence[Dated]) -> Written:
    """Return the list as a file."""
    headings = [
        _("Due"), _("Begins"), _("Client"), _("Property"), _("Round"), _("What for"), _("State"),
        _("Day"), _("Done"), _("Of"), _("Per cent"), _("Left, and why"), _("Faults reported"),
    ]  # fmt: skip
    return Written(_("Rounds"), headings, lambda: (_cells(each) for each in rows))


def _cells(one: Dated) -> list[Cell]:
    come = one.progress
    percent = come.percent if come else None
    return [
        one.due_on,
        one.begins_on,
        one.place.client.name,
        one.place.code,
        one.the_round.name,
        capfirst(str(one.the_round.get_purpose_display())),
        one.state,
        one.planned_on or "",
        come.done if come else "",
        come.total if come else "",
        "" if percent is None else percent,
        one.left,
        one.faults,
    ]
