"""Make, keep and read the summaries of properties."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from typing import Any, NamedTuple

from celery import current_app
from django.conf import settings
from django.core.cache import cache
from django.db import connection, transaction
from django.db.models import F, Model, Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from kombu.exceptions import OperationalError
from redis.exceptions import RedisError

from faults.models import Fault
from reports.models import PropertySummary
from sites.kernel.services.collecting import Collector
from sites.models import Controller, Leg, Property, Run, Spell, Station, Wire
from sites.runs.services import Progress, is_under_way, start_run

IN_BACKGROUND = "keep summaries"
TRY_AGAIN_AFTER = timedelta(minutes=1)
# So many properties are made between two words of progress, and asked for in one statement.
CHUNK = 50
ASKED, ASKED_EVERY_S = "summaries-asked-for", 1


class Figures(NamedTuple):
    """What is kept of one property on one subject."""

    figures: dict[str, Any]
    columns: bytes = b""


# Makes the figures of these properties from the records, in full.
Make = Callable[[Collection[int]], Mapping[int, Figures]]
# What a row touches: keys by the names of `Touched`.
Keys = Callable[[Any], Mapping[str, Iterable[object]]]
Say = Callable[[int, int], object]


_TO_PROPERTY: dict[type[Model], str] = {
    **dict.fromkeys((Fault, Wire, Leg, Controller), "property"),
    Station: "controller__property",
    Spell: "station__controller__property",
}


@dataclass
class Touched:
    """Keys of what was changed; the properties behind them are looked up once, at the end."""

    subject: str
    places: set[int] = field(default_factory=set)
    faults: set[int] = field(default_factory=set)
    wires: set[int] = field(default_factory=set)
    legs: set[int] = field(default_factory=set)
    controllers: set[int] = field(default_factory=set)
    stations: set[int] = field(default_factory=set)
    spells: set[int] = field(default_factory=set)

    def rebuild(self) -> None:
        """Mark the summaries as touched; they are made after the transaction, or by who reads."""
        if not (places := self._all_places()):
            return
        rows = PropertySummary.objects.filter(subject=self.subject, property__in=places)
        with transaction.atomic(savepoint=False):
            if missing := places - _locked(rows):
                # Who makes it meanwhile has to meet this change: a row that is not there yet
                # would let both pass each other.
                _add_rows(self.subject, missing)
                _locked(rows)
            rows.update(touched=F("touched") + 1)
            transaction.on_commit(_ask_to_keep)

    def _all_places(self) -> set[int]:
        which = Q()
        for model, path in _TO_PROPERTY.items():
            if keys := getattr(self, f"{model._meta.model_name}s"):
                rows = model._default_manager.filter(pk__in=keys).order_by()
                which |= Q(pk__in=rows.values(path))
        found = Property.objects.filter(which).order_by() if which else Property.objects.none()
        return self.places | set(found.values_list("pk", flat=True))


def _locked(rows: QuerySet[PropertySummary]) -> set[int]:
    """Lock summaries in one order everywhere; return the properties that have one."""
    ordered = rows.order_by("pk")
    if connection.features.has_select_for_update:
        ordered = ordered.select_for_update()
    return set(ordered.values_list("property_id", flat=True))


def _add_rows(subject: str, places: Iterable[int]) -> None:
    missing = [PropertySummary(property_id=key, subject=subject) for key in sorted(places)]
    PropertySummary.objects.bulk_create(missing, ignore_conflicts=True)


def _ask_to_keep() -> None:
    """Without a queue, or while it cannot be reached, the next round makes them.

    One asking is for all that is committed until it is answered, so a crew's phones that come back
    into signal, with hundreds of changes, do not ask hundreds of times.
    """
    if not settings.REDIS_URL:
        return
    try:
        if cache.add(ASKED, True, ASKED_EVERY_S):
            current_app.send_task("reports.keep_summaries", countdown=ASKED_EVERY_S, retry=False)
    except (OperationalError, OSError, RedisError):
        return


@dataclass(frozen=True)
class Summary:
    """One subject: how its figures are made, and who collects what touches them."""

    subject: str
    make: Make
    # A page does not wait for more properties than these.
    most_at_once: int
    collector: Collector[Touched]
    # Signals hold what they call weakly.
    heard: Mapping[type[Model], Callable[..., None]]


_summaries: dict[str, Summary] = {}


def declare_summary(
    subject: str,
    make: Make,
    *,
    most_at_once: int,
    saved: Mapping[type[Model], Keys],
    deleted: Sequence[type[Model]],
) -> None:
    """Enter a subject.

    Args:
        subject: its name, with a number that a change of what is kept raises: rows of another
            number are none of it.
        most_at_once: a page does not wait until more properties than these are made.
        saved: by model that the figures follow from, what a row of it touches.
        deleted: those of these models that they also follow from when a row is deleted.
    """
    collector = Collector(f"summary of {subject}", partial(Touched, subject))
    heard = {model: _heard(collector, keys) for model, keys in saved.items()}
    collector.listen(heard, deleted=deleted)
    collector.listen_to_bulk(heard)
    _summaries[subject] = Summary(subject, make, most_at_once, collector, heard)


def _heard(collector: Collector[Touched], keys: Keys) -> Callable[..., None]:
    def heard(instance: Model, **_: object) -> None:
        collector.touch(**keys(instance))

    return heard


def touch(subject: str, **keys: Iterable[object]) -> None:
    """Say what was changed without a signal of its row, by the names of `Touched`."""
    _summaries[subject].collector.touch(**keys)


@contextmanager
def summaries_kept() -> Iterator[None]:
    """Collect what is touched inside, and mark it once at the end."""
    with ExitStack() as stack:
        for each in _summaries.values():
            stack.enter_context(each.collector.kept())
        yield


def summaries_of(subject: str, places: Collection[int]) -> dict[int, Figures]:
    """Return the figures of each property: kept ones where they are current, others made now.

    Raises:
        NotMadeYet: there is more to make than a page can wait for.
    """
    wanted = set(places)
    rows = PropertySummary.objects.current().filter(subject=subject)
    if wanted:
        # A list of thousands of keys would take longer to send than some rows too many to read.
        rows = rows.filter(property__gte=min(wanted), property__lte=max(wanted))
    found = {
        owner: Figures(figures, bytes(columns))
        for owner, figures, columns in rows.order_by().values_list(
            "property_id", "figures", "columns"
        )
        if owner in wanted
    }
    summary, rest = _summaries[subject], wanted - found.keys()
    if len(rest) > summary.most_at_once:
        raise NotMadeYet(_run_for())
    return found | dict(summary.make(sorted(rest))) if rest else found


class NotMadeYet(Exception):
    """There is more to make than a page can wait for: `run` makes it in the background.

    `heading` and `lead` say what is made, where it is not a ranking.
    """

    def __init__(self, run: Run, *, heading: str = "", lead: str = "") -> None:
        super().__init__(run.title)
        self.run, self.heading, self.lead = run, heading, lead


def _run_for() -> Run:
    """Return the run that makes what is missing; start one where none is under way."""
    at = timezone.now()
    for run in Run.objects.filter(service=IN_BACKGROUND).order_by("-pk")[:1]:
        # A page that waits asks each second: one that failed is not tried as often.
        is_new = run.ended_at is not None and at - run.ended_at < TRY_AGAIN_AFTER
        if is_new or is_under_way(run=run, at=at):
            return run
    title = _("Work out what is counted over whole properties")
    return start_run(service=IN_BACKGROUND, title=title, by=None, at=at, arguments={})


def keep_in_background(progress: Progress, **_later: Any) -> dict[str, int]:
    """Make and keep what is missing or touched, as a background run."""

    def say(done: int, total: int) -> None:
        progress.say(_("Working out what is counted over whole properties"), done, total)

    at = timezone.now()
    return {"made": sum(_keep(subject, _stale(subject), at, say=say) for subject in _summaries)}


def keep_summaries(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Make and keep what is missing or touched: a round, and the task after a verb."""
    # Of an earlier version, which kept something else.
    PropertySummary.objects.exclude(subject__in=list(_summaries)).delete()

    def say(_done: int, _total: int) -> None:
        go_on()

    return {"made": sum(_keep(subject, _stale(subject), at, say=say) for subject in _summaries)}


def rebuild_all_summaries(*, at: datetime) -> int:
    """Make all summaries from the records, write what differs; return how many changed."""
    places = list(Property.objects.order_by("pk").values_list("pk", flat=True))
    return sum(_keep(subject, places, at) for subject in _summaries)


def _stale(subject: str) -> list[int]:
    current = PropertySummary.objects.current().filter(subject=subject)
    rows = Property.objects.exclude(pk__in=current.values("property_id")).order_by("pk")
    return list(rows.values_list("pk", flat=True))


def _keep(
    subject: str, keys: Sequence[int], at: datetime, *, say: Say = lambda _done, _total: None
) -> int:
    """Make and keep the figures of these properties; return how many were not right before."""
    changed = 0
    for start in range(0, len(keys), CHUNK):
        say(start, len(keys))
        changed += _keep_some(subject, keys[start : start + CHUNK], at)
    return changed


def _keep_some(subject: str, keys: Sequence[int], at: datetime) -> int:
    """Note what was touched before reading: who touches it meanwhile leaves it not current."""
    _add_rows(subject, keys)
    rows = PropertySummary.objects.filter(subject=subject, property__in=keys).order_by("pk")
    before = list(rows)
    made = _summaries[subject].make(keys)
    changed = 0
    for row in before:
        now = made[row.property_id]
        is_current = row.made_of == row.touched
        if is_current and Figures(row.figures, bytes(row.columns)) == now:
            continue
        same = PropertySummary.objects.filter(pk=row.pk, touched=row.touched)
        changed += same.update(
            figures=now.figures, columns=now.columns, made_of=row.touched, made_at=at
        )
    return changed
