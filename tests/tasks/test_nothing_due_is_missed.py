"""What falls due survives kill -9 of workers, a Redis that goes away, and two of everything.

Real workers and beats on real PostgreSQL and Redis. No follow-up is missed or doubled; each mail
goes out at least once, and once more at most for each kill, under the same Message-ID.
"""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from time import monotonic
from typing import Any

import pytest
from django.utils import timezone

from faults.due.services.health import is_well, queue_now
from faults.models import Beat, FollowUp, FollowUpKind, OutgoingMail
from sites.kernel.engines.roles import Role
from sites.models import Device, Property, Station, Stopgap
from tests import make, make_due
from tests.services_real.mail_sink import FOLDER, taken
from tests.services_real.needs import wait_until
from tests.services_real.redis_server import StoppableRedis
from tests.services_real.worker import Worker

pytestmark = pytest.mark.service

Start = Callable[..., Worker]


@pytest.fixture
def sink(tmp_path: Path) -> Path:
    """Where mails arrive."""
    folder = tmp_path / "mails"
    folder.mkdir()
    return folder


@pytest.fixture
def hurried(surroundings: dict[str, str], sink: Path) -> dict[str, str]:
    """The surroundings of processes that are killed."""
    return {**surroundings, "DJANGO_SETTINGS_MODULE": "tests.settings_kill", FOLDER: str(sink)}


def batteries_due(count: int) -> Property:
    """Make this many timers whose batteries are due, and nothing else that rules would raise."""
    clock = make.controller(wiring="two-wire path")
    place, since = clock.property, timezone.now().date() - timedelta(days=190)
    timers = [Device(property=place, name=f"Timer {n}") for n in range(count)]
    stations = [Station(controller=clock, number=n) for n in range(1, count + 1)]
    pairs = zip(
        Device.objects.bulk_create(timers), Station.objects.bulk_create(stations), strict=True
    )
    Stopgap.objects.bulk_create(
        Stopgap(
            station=station,
            device=timer,
            kind="battery timer",
            fitted_earliest=since,
            fitted_latest=since,
            counted_from=since,
            disabled_in_central_on=since,
        )
        for timer, station in pairs
    )
    return place


def readers(count: int) -> None:
    """Make this many people who get a daily mail at any hour of today."""
    from faults.models import DigestChoice

    for n in range(count):
        user = make.user(Role.DISPATCHER, email=f"reader{n}@example.org")
        DigestChoice.objects.create(user=user, at_hour=0)


def raised() -> int:
    """Return how many follow-ups there are."""
    return FollowUp.objects.filter(kind=FollowUpKind.BATTERY).count()


def has_ended(name: str) -> bool:
    """Return whether a round has ended well."""
    return Beat.objects.filter(name=name, ended_at__isnull=False).exists()


def unsent() -> int:
    """Return how many mails of the outbox are not known to be sent."""
    return OutgoingMail.objects.filter(sent_at=None).count()


def causes_are_single() -> bool:
    """Return whether no two follow-ups have one cause."""
    causes = list(FollowUp.objects.values_list("kind", "cause"))
    return len(causes) == len(set(causes))


def test_a_rule_run_that_is_killed_twice_raises_all_and_nothing_twice(
    hurried: dict[str, str], celery_worker: Start, celery_beat: Start
) -> None:
    batteries_due(200)
    celery_beat(**hurried)
    seen = []
    for least in (20, 100):
        worker = celery_worker(**hurried)
        wait_until(lambda n=least: raised() >= n, what=f"{least} raised", every=0.01)
        worker.kill()
        seen.append(raised())
    assert 20 <= seen[0] < seen[1] < 200
    assert not has_ended("follow-ups")
    celery_worker(**hurried)
    wait_until(lambda: has_ended("follow-ups"), what="The round")
    print(f"follow-ups at each kill: {seen}; in the end {raised()} of 200")
    assert raised() == 200
    assert causes_are_single()
    assert FollowUp.history.count() == FollowUp.objects.count()


def test_digests_survive_kills_while_they_are_written_and_while_they_are_sent(
    hurried: dict[str, str], celery_worker: Start, celery_beat: Start, sink: Path
) -> None:
    readers(40)
    make_due.follow_up(due_on=timezone.now().date() - timedelta(days=1))
    celery_beat(**hurried)
    worker = celery_worker(**hurried)
    wait_until(lambda: OutgoingMail.objects.count() >= 5, what="Mails", every=0.01)
    worker.kill()
    written = OutgoingMail.objects.count()
    ids = dict(OutgoingMail.objects.values_list("key", "message_id"))
    worker = celery_worker(**hurried)
    wait_until(lambda: sum(taken(sink).values()) >= 10, what="Sent", every=0.01)
    worker.kill()
    kills, at_kill = 2, sum(taken(sink).values())
    celery_worker(**hurried)
    wait_until(lambda: OutgoingMail.objects.count() == 40 and unsent() == 0, what="All sent")
    counts = taken(sink)
    print(
        f"mails written at the first kill: {written} of 40; taken at the second: {at_kill}; "
        f"in the end {len(counts)} mails, taken {sum(counts.values())} times, {kills} kills"
    )
    assert written < 40
    assert set(counts) == set(OutgoingMail.objects.values_list("message_id", flat=True))
    assert len(counts) == 40
    assert sum(counts.values()) - 40 <= kills
    now = dict(OutgoingMail.objects.values_list("key", "message_id"))
    assert {key: now[key] for key in ids} == ids


def test_two_workers_and_two_beats_do_everything_once(
    hurried: dict[str, str], celery_worker: Start, celery_beat: Start, sink: Path
) -> None:
    batteries_due(150)
    readers(15)
    # Something to tell of from the first moment: a round of mails may come before that of rules.
    make_due.follow_up(due_on=timezone.now().date() - timedelta(days=1))
    for start in (celery_worker, celery_worker, celery_beat, celery_beat):
        start(**hurried)
    wait_until(lambda: has_ended("follow-ups") and raised() == 150, what="Follow-ups")
    wait_until(lambda: OutgoingMail.objects.count() == 15 and unsent() == 0, what="Mails")
    counts = taken(sink)
    print(f"two of each: {raised()} follow-ups, {len(counts)} mails taken {sum(counts.values())}")
    assert causes_are_single()
    assert (len(counts), set(counts.values())) == (15, {1})


def test_redis_may_go_away_and_come_back(
    hurried: dict[str, str],
    celery_worker: Start,
    celery_beat: Start,
    own_redis: StoppableRedis,
    settings: Any,
) -> None:
    settings.REDIS_URL = own_redis.url
    env = {**hurried, "REDIS_URL": own_redis.url}
    celery_worker(**env)
    celery_beat(**env)
    wait_until(lambda: has_ended("follow-ups"), what="The first round")
    assert is_well()
    own_redis.stop()
    began = monotonic()
    assert not is_well()
    assert not queue_now().is_reachable
    waited = monotonic() - began
    assert waited < 3
    batteries_due(10)
    Beat.objects.update(ended_at=timezone.now() - timedelta(hours=1))
    own_redis.start()
    wait_until(lambda: raised() == 10, what="Follow-ups after the outage", seconds=40)
    assert is_well()
    print(f"without Redis the answer took {waited:.2f} s; afterwards {raised()} of 10 were raised")
    assert causes_are_single()
