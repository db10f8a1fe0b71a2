"""Promised times: who is sent, what is warned of, what the rota may plan, what falls due."""

from datetime import date, datetime, time, timedelta

import pytest

from faults.cases.engines.stages import Stage
from faults.due.services.raising import raise_by_rules
from faults.models import Fault, FollowUp, FollowUpKind, Job, JobKind
from faults.promises.services.words import letter
from faults.rota.services.gathering import gather
from faults.rota.services.suggesting import suggest
from faults.rota.services.working_time import Asked
from faults.work.services import UnableToSend
from faults.work.services.arriving import arrivals
from faults.work.services.assigning import move_job
from faults.work.services.board import board_of
from faults.work.services.clashes import clashes_of
from faults.work.services.planning import split_job
from sites.runs.services import Silent
from tests import make, make_jobs
from tests.services.work.scene import TODAY, TOMORROW, Scene, assigned, planned, put_at, start

pytestmark = pytest.mark.django_db


def promise(fault: Fault, day: date = TOMORROW) -> Fault:
    """Somebody was promised between eight and ten."""
    fault.promised_on, fault.promised_from, fault.promised_until = day, time(8), time(10)
    fault.save()
    return fault


def sent(scene: Scene, **given: object) -> Job:
    """Send the crew tomorrow at nine, unless told otherwise."""
    told = {"day": TOMORROW, "starts_at": time(9), **given}
    return assigned(scene, planned(scene), **told)


@pytest.mark.parametrize("starts_at", [time(8), time(10), None])
def test_within_the_promised_times_nobody_is_asked_why(
    scene: Scene, starts_at: time | None
) -> None:
    promise(scene.fault)
    assert sent(scene, starts_at=starts_at).starts_at == starts_at


@pytest.mark.parametrize(
    ("day", "starts_at"), [(TOMORROW, time(7, 59)), (TOMORROW, time(10, 1)), (TODAY, time(9))]
)
def test_outside_of_them_a_reason_is_asked_for(scene: Scene, day: date, starts_at: time) -> None:
    promise(scene.fault)
    with pytest.raises(UnableToSend, match=f"promised for {TOMORROW}, 08:00–10:00") as no:
        sent(scene, day=day, starts_at=starts_at)
    assert no.value.field == "why"
    assert sent(scene, day=day, starts_at=starts_at, why="the caller was told").day == day


def test_moving_and_splitting_ask_too(scene: Scene) -> None:
    promise(scene.fault)
    job = sent(scene)
    with pytest.raises(UnableToSend, match="promised for"):
        move_job(job=job, crew=scene.crew, day=TOMORROW, starts_at=time(13), **scene.how)
    with pytest.raises(UnableToSend, match="promised for"):
        split_job(job=job, minutes=20, day=TOMORROW + timedelta(days=1), **scene.how)


def test_what_binds_is_the_first_visit_until_somebody_came(scene: Scene) -> None:
    promise(scene.fault, TODAY)
    first, dig = planned(scene), planned(scene, JobKind.DIG)
    assert set(arrivals([first, dig], today=TODAY)) == {first.pk}
    assert arrivals([first], today=TOMORROW) == {}
    again = planned(scene)
    start(scene, assigned(scene, first, starts_at=time(9)))
    assert arrivals([again], today=TODAY) == {}
    put_at(scene.fault, Stage.FOUND)
    third = Job.objects.select_related("fault").get(pk=again.pk)
    assert arrivals([third], today=TODAY) == {}


def test_the_board_and_the_jobs_page_show_it_and_warn(scene: Scene) -> None:
    promise(scene.fault)
    good, bad = sent(scene), sent(scene, starts_at=time(13), why="told")
    board = board_of(scene.office, days=[TODAY, TOMORROW], today=TODAY)
    cards = {card.job.pk: card for card in board.cards}
    words = f"promised for {TOMORROW}, 08:00–10:00"
    assert {cards[job.pk].promised for job in (good, bad)} == {words}
    against = f"Somebody was {words}. Choose that, or tell the caller another time."
    assert against in cards[bad.pk].against
    assert against not in cards[good.pk].against
    rows = list(Job.objects.filter(pk__in=[good.pk, bad.pk]).select_related("fault"))
    warned = clashes_of(rows, today=TODAY)
    assert against in warned[bad.pk]
    assert against not in warned[good.pk]


NOW = datetime(2025, 6, 15, 18, 0, tzinfo=make.NOW.tzinfo)


def test_the_rota_plans_it_on_its_day_and_between_its_times(scene: Scene) -> None:
    day, after = TOMORROW, TOMORROW + timedelta(days=1)
    promise(scene.fault, day)
    job = planned(scene)
    asked = Asked((day, after), (scene.crew,), may_move=True)
    gathered = gather(scene.office, asked, now=NOW)
    (task,) = gathered.problem.tasks
    by_day = {key.day: task.on(key) for key in gathered.shift_keys()}
    assert by_day[0] == ((480, 660),)
    assert by_day[1] == ()
    told = suggest(Silent(), user=scene.office, asked=asked, now=NOW)
    ((stop,),) = [route["stops"] for route in told["routes"]]
    assert stop["job"] == job.ref
    assert 480 <= stop["minute"] <= 600


def test_the_rota_says_why_another_day_is_none(scene: Scene) -> None:
    promise(scene.fault, TOMORROW)
    planned(scene)
    days = tuple(TOMORROW + timedelta(days=n) for n in (1, 2))
    asked = Asked(days, (scene.crew,), may_move=True)
    (out,) = suggest(Silent(), user=scene.office, asked=asked, now=NOW)["left_out"]
    assert f"promised for {TOMORROW}, 08:00–10:00" in out["why"]


def slipping() -> list[int | None]:
    """The faults whose promised visit is told to slip."""
    raise_by_rules(at=make.NOW)
    rows = FollowUp.objects.open().filter(kind=FollowUpKind.VISIT_SLIPS)
    return list(rows.order_by("pk").values_list("fault_id", flat=True))


def test_a_promised_visit_that_nobody_planned_so_is_due(scene: Scene) -> None:
    far = promise(make.fault(reported_on=TODAY), TODAY + timedelta(days=3))
    near = promise(scene.fault, TODAY + timedelta(days=2))
    by_day = make.fault(reported_on=TODAY, promised_on=TOMORROW)
    assert slipping() == [near.pk, by_day.pk]
    assert far.pk not in slipping()
    job = sent(scene, day=TODAY + timedelta(days=2), starts_at=time(9))
    assert slipping() == [by_day.pk]
    Job.objects.filter(pk=job.pk).update(starts_at=None)
    assert slipping() == [near.pk, by_day.pk]
    Job.objects.filter(pk=job.pk).update(starts_at=time(10, 1))
    assert slipping() == [near.pk, by_day.pk]
    make_jobs.job(fault=by_day, property=by_day.property, crew=scene.crew, day=TOMORROW)
    assert slipping() == [near.pk]
    Job.objects.filter(pk=job.pk).update(started_at=make.NOW)
    assert slipping() == []


def test_the_words_to_send_say_when_somebody_comes_until_somebody_came(scene: Scene) -> None:
    promised = scene.fault.promises.create(
        by_on=TOMORROW + timedelta(days=9), tenths=8, said_to="Ms Vole", said_on=TODAY
    )
    assert "Somebody comes" not in letter(promised)
    promise(scene.fault)
    promised.refresh_from_db()
    assert letter(promised).endswith("Somebody comes on Monday 16 June 2025, 08:00–10:00.")
    make_jobs.job(fault=scene.fault, property=scene.place, started_at=make.NOW, state="started")
    assert "Somebody comes" not in letter(promised)
