"""What monitoring is told: the figures of the page *Health*, and a few of the work.

Each is asked of the same function as the page asks. Nothing is counted in the memory of a
process, so that it is the same whichever of several answers.
"""

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings

from faults.due.services.health import (
    RoundState,
    mails_that_may_be_tried_again,
    mails_that_wait,
    rounds_now,
    sent_besides,
)
from faults.due.services.metrics_text import Metric, metric, metric_by
from faults.models import SheetItem
from sites.backups.services.disks import free_bytes
from sites.backups.services.scheduled import backups_now
from sites.models import SpellPart, Station
from sites.runs.services import runs_now

PHONES_WITHIN = timedelta(days=1)


def metrics_now(*, at: datetime) -> list[Metric]:
    """Return all numbers as they are now."""
    return [*_rounds(at), *_runs(at), *_messages(), *_backups(at), *_disks(), *_work(at)]


def _rounds(at: datetime) -> Iterator[Metric]:
    rounds = rounds_now(at=at)

    def of(name: str, means: str, values: dict[str, float]) -> Metric:
        return metric_by("round", f"rejoin_round_{name}", means, values)

    yield of(
        "ever_ended",
        "1 where it ended well at least once, 0 where it never did.",
        {one.name: int(one.ended_at is not None) for one in rounds},
    )
    yield of(
        "since_end_seconds",
        "Seconds since it last ended well; below 0, a clock ran ahead.",
        {one.name: _since(one, at) for one in rounds if one.ended_at},
    )
    yield of(
        "late",
        "1 where it missed three of its periods.",
        {one.name: int(one.is_late) for one in rounds if one.ended_at},
    )
    yield of(
        "failed",
        "1 where it ended badly, and not well since.",
        {one.name: int(one.has_failed_last) for one in rounds if one.ended_at or one.failed_at},
    )


def _since(one: RoundState, at: datetime) -> float:
    assert one.ended_at is not None
    return (at - one.ended_at).total_seconds()


def _runs(at: datetime) -> Iterator[Metric]:
    runs = runs_now(at=at)
    yield metric_by(
        "state",
        "rejoin_runs",
        "Long work that waits or is under way; stuck: of both, what was not begun or went silent.",
        {"waiting": runs.waiting, "running": runs.running, "stuck": runs.stuck},
    )


def _messages() -> Iterator[Metric]:
    waiting: dict[str, float] = {"mail": mails_that_wait().count()}
    given_up: dict[str, float] = {"mail": mails_that_may_be_tried_again().count()}
    for each in sent_besides():
        waiting[each.name], given_up[each.name] = each.waiting, each.given_up
    yield metric_by("what", "rejoin_messages_waiting", "What waits to be sent.", waiting)
    yield metric_by("what", "rejoin_messages_given_up", "What could not be sent.", given_up)


def _backups(at: datetime) -> Iterator[Metric]:
    backups = backups_now(at=at)
    age = size = None
    if backups.last and backups.last.ended_at:
        age = (at - backups.last.ended_at).total_seconds()
        size = backups.last.result["size"]
    yield metric("rejoin_backup_age_seconds", "Since the newest one was made and read back.", age)
    yield metric("rejoin_backup_size_bytes", "Size of the newest one.", size)
    yield metric(
        "rejoin_backup_too_old",
        "1 where there is none, or the newest is older than it should be.",
        int(backups.is_old),
    )
    yield metric(
        "rejoin_backup_failed",
        "1 where the last try failed, and none went well since.",
        int(backups.failed is not None),
    )


def _disks() -> Iterator[Metric]:
    folders = {"media": Path(settings.MEDIA_ROOT), "state": Path(settings.STATIC_ROOT).parent}
    free: dict[str, float] = {name: free_bytes(folder) for name, folder in folders.items()}
    # A share that is not mounted says nothing of the disk below it.
    if settings.BACKUP_FOLDER and settings.BACKUP_FOLDER.is_dir():
        free["backups"] = free_bytes(settings.BACKUP_FOLDER)
    yield metric_by("folder", "rejoin_disk_free_bytes", "Room on the disk of a folder.", free)


def _work(at: datetime) -> Iterator[Metric]:
    yield metric(
        "rejoin_stations_off_central",
        "Stations that are off central control now.",
        SpellPart.objects.open().count(),
    )
    yield metric(
        "rejoin_stations",
        "Stations that are meant to be under central control.",
        Station.objects.meant_for_central().count(),
    )
    yield metric(
        "rejoin_phone_items_refused_last_day",
        "What phones sent within a day and was not kept, or met what somebody else wrote.",
        SheetItem.objects.not_accepted().filter(received_at__gt=at - PHONES_WITHIN).count(),
    )
    yield metric(
        "rejoin_phone_items_unsettled",
        "Of all such, what nobody looked at yet.",
        SheetItem.objects.unsettled().count(),
    )
