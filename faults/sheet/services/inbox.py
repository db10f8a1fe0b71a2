"""Take in what a phone sends: each thing once, in its order, and nothing lost from view.

Recorded without signal, things arrive hours later, twice, or after a permission was withdrawn.
So each has a key made on the phone, and a row that says what became of it: the same key again
gets the same answer. Each is taken in by the verbs, in one transaction with its row.
"""

import logging
import zoneinfo
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _

from faults.access import jobs_for
from faults.models import CrewMember, Job, SheetAnswer, SheetItem
from faults.sheet.services import fault_items, job_items, round_items, search_items
from faults.sheet.services.storable import storable
from faults.sheet.services.told import KINDS, Item, Said, UnableToTakeIn, WroteSomethingElse
from sites.kernel.engines.roles import Action
from sites.kernel.services.faults_outside import has_no_room, lost_the_database
from sites.kernel.services.verbs import UnableToAct
from sites.models import User

logger = logging.getLogger(__name__)

# Importing them enters their kinds into the table.
FAMILIES = (fault_items, job_items, round_items, search_items)
MOST_AT_ONCE = 50
# A phone's clock that differs by less is as good as ours.
CLOCKS_DIFFER = timedelta(minutes=2)
# Moments outside of these are a wrong clock; nearer ones are put right by its skew.
EARLIEST = datetime(2000, 1, 1, tzinfo=UTC)
LATEST_AHEAD = timedelta(days=366)
# Not kept in the row: it is large, and stands in the photo's own row.
PICTURE = "picture"


class UnableToReadBatch(UnableToAct):
    """The whole of what was sent cannot be read."""


@dataclass(frozen=True)
class Sent:
    """One thing as it was sent, before it is validated."""

    id: UUID
    kind: str
    job: str
    at: datetime
    happened_at: datetime
    body: Mapping[str, object]
    is_over: bool
    # Why it cannot be taken in whatever it says, such as a character that no database keeps.
    trouble: str = ""


def take_in(*, batch: Mapping[str, object], by: User, now: datetime) -> list[SheetItem]:
    """Take in all things of a batch in their order; return the row of each.

    Args:
        batch: {"now": the phone's clock, "items": [{"id", "kind", "at", "job", "body"}, ...]}.

    Raises:
        UnableToReadBatch: nothing of it was kept, because it is no batch.
    """
    things, rights = _read(batch, now), Rights(by)
    found = SheetItem.objects.select_related("job").in_bulk([sent.id for sent in things])
    rows = []
    for sent in things:
        row = _once(sent, rights, now, found.get(sent.id))
        found[row.pk] = row
        rows.append(row)
    return rows


def _read(batch: Mapping[str, object], now: datetime) -> list[Sent]:
    items = batch.get("items") if isinstance(batch, Mapping) else None
    if not isinstance(items, list) or len(items) > MOST_AT_ONCE:
        raise UnableToReadBatch(_("This is no list of things from a job sheet."))
    skew = now - _moment(batch.get("now"))
    late = skew if abs(skew) > CLOCKS_DIFFER else timedelta()
    return [_sent(each, late, now) for each in items]


def _sent(each: object, late: timedelta, now: datetime) -> Sent:
    if not isinstance(each, Mapping) or not isinstance(each.get("body", {}), Mapping):
        raise UnableToReadBatch(_("This is no list of things from a job sheet."))
    try:
        key = UUID(str(each.get("id")))
    except ValueError as problem:
        raise UnableToReadBatch(_("A thing from a job sheet has no key.")) from problem
    # A picture is checked where it is decoded, and is stored elsewhere.
    picture = {name: value for name, value in each.get("body", {}).items() if name == PICTURE}
    words, trouble = storable({name: value for name, value in each.items() if name != "body"})
    body, in_body = storable(
        {name: value for name, value in each.get("body", {}).items() if name != PICTURE}
    )
    at, wrong_clock = _happened(each, late, now)
    return Sent(
        id=key,
        kind=str(words.get("kind", ""))[:20],
        job=str(words.get("job", "")),
        at=at,
        happened_at=min(at + late, now),
        body={**body, **picture},
        is_over=each.get("over") is True,
        trouble=trouble or in_body or wrong_clock,
    )


def _happened(each: Mapping[str, object], late: timedelta, now: datetime) -> tuple[datetime, str]:
    """Return when a thing happened by the phone's clock, and why that cannot be, else ""."""
    no_day = _("The phone's clock was wrong when this was recorded. Enter it again with its day.")
    try:
        at = _moment(each.get("at"))
        happened = at + late
    except UnableToReadBatch as problem:
        return now - late, str(problem)
    except OverflowError:
        return now - late, no_day
    if not EARLIEST <= happened <= now + LATEST_AHEAD:
        return now - late, no_day
    seen = parse_moment(each.get("seen"))
    is_sure = each.get("is_day_sure") is True
    if seen is not None and not is_sure and happened < seen - CLOCKS_DIFFER:
        return at, no_day
    return at, ""


def _moment(words: object) -> datetime:
    moment = parse_moment(words)
    if moment is None:
        raise UnableToReadBatch(_("A thing from a job sheet does not say when it happened."))
    return moment


def parse_moment(words: object) -> datetime | None:
    """Return a moment with its zone in UTC, or None where the words are none that can be."""
    try:
        moment = parse_datetime(str(words))
        return moment.astimezone(UTC) if moment and timezone.is_aware(moment) else None
    except (ValueError, OverflowError):
        return None


class Rights:
    """What a user may do at which jobs, asked once for all things of a batch."""

    def __init__(self, by: User) -> None:
        self.by = by
        self._known: dict[tuple[int, Action], bool] = {}

    def may(self, job: Job, action: Action) -> bool:
        """Return whether the user has the permission at a job."""
        key = (job.pk, action)
        if key not in self._known:
            self._known[key] = jobs_for(self.by, action).filter(pk=job.pk).exists()
        return self._known[key]


def _once(sent: Sent, rights: Rights, now: datetime, found: SheetItem | None) -> SheetItem:
    """Return the row of a thing that is known already, else take it in.

    Args:
        found: the row of its key when the batch came.
    """
    by = rights.by
    row = SheetItem(
        id=sent.id,
        user=by,
        kind=sent.kind,
        at=sent.at,
        happened_at=sent.happened_at,
        received_at=now,
        body={name: value for name, value in sent.body.items() if name != PICTURE},
    )
    if found is not None:
        return _known(found, row, by)
    try:
        with transaction.atomic():
            item = _item(sent, row, rights, now)
            row.made = KINDS[sent.kind].take(item)
            row.answer = SheetAnswer.ACCEPTED
            row.save(force_insert=True)
            return row
    except WroteSomethingElse as other:
        row.answer, row.why = SheetAnswer.CONFLICT, str(other)
        row.mine, row.theirs = other.mine, other.theirs
    except UnableToAct as refusal:
        row.answer, row.why = SheetAnswer.REFUSED, str(refusal)
    except Exception as error:
        # A lock, a lost connection, a full disk: the phone keeps it and sends it again.
        if lost_the_database(error) or has_no_room(error):
            raise
        # The same key from two tabs at once ends here too, and is known by now.
        known = SheetItem.objects.select_related("job").filter(pk=sent.id).first()
        if known is not None:
            return _known(known, row, by)
        # One thing that trips us must not hold up all that waits behind it on the phone.
        logger.exception("a thing from a job sheet could not be taken in: %s", sent.id)
        row.answer = SheetAnswer.REFUSED
        row.why = _("This could not be kept because of a mistake of ours. Tell the office.")
    row.made = ""
    row.save(force_insert=True)
    return row


def _known(known: SheetItem, row: SheetItem, by: User) -> SheetItem:
    if known.user_id == by.pk:
        return known
    # Another person's key: none of this person's business, and not to be written over.
    row.answer, row.why = SheetAnswer.REFUSED, _("This was sent by somebody else already.")
    return row


def _item(sent: Sent, row: SheetItem, rights: Rights, now: datetime) -> Item:
    job, known = _job_of(sent, row, rights), KINDS.get(sent.kind)
    if sent.trouble:
        raise UnableToTakeIn(sent.trouble)
    if known is None:
        raise UnableToTakeIn(
            _("Nobody knows what “%s” is. Load the sheet again, and enter it once more.")
            % sent.kind
        )
    if not rights.may(job, known.action):
        raise UnableToTakeIn(
            _(
                "You no longer have the right to do this at %s. What you wrote is kept here: tell "
                "the office."
            )
            % job.property.code
        )
    zone = zoneinfo.ZoneInfo(job.property.time_zone)
    return Item(
        id=sent.id,
        kind=sent.kind,
        job=job,
        said=Said(sent.body, timezone.localdate(now, zone)),
        by=rights.by,
        at=sent.happened_at,
        on=timezone.localdate(sent.happened_at, zone),
        today=timezone.localdate(now, zone),
        now=now,
        is_over=sent.is_over,
    )


def _job_of(sent: Sent, row: SheetItem, rights: Rights) -> Job:
    """Return the job; one that the sender may not see reads like one that does not exist.

    A member of its crew has seen it: the office then finds the thing at the job.
    """
    rows = Job.objects.select_related("property", "fault__property", "crew")
    job = rows.filter(ref=sent.job).first()
    if job is not None and rights.may(job, Action.SEE_WORK):
        row.job = job
        return job
    if job is not None and CrewMember.objects.filter(user=rights.by, crew=job.crew_id).exists():
        row.job = job
    raise UnableToTakeIn(
        _("This job is not yours to see any more. What you wrote is kept here: tell the office.")
    )
