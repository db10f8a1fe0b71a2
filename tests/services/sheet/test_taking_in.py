"""Things from phones: once, in order, by the verbs, and nothing lost from view."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest

from faults.models import Break, Job, Reading, SheetItem, WalkNote
from faults.sheet.services.inbox import UnableToReadBatch, take_in
from sites.kernel.engines.roles import Role
from sites.models import Grant, User
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.services.sheet.sending import answers, ohms, send, thing

pytestmark = pytest.mark.django_db


@pytest.fixture
def tessa(cast: Cast) -> User:
    """The technician, in a crew."""
    make_jobs.crew(cast.technician, name="North")
    return cast.technician


@pytest.fixture
def job(ours: Corner, tessa: User) -> Job:
    """Her visit of today to our fault."""
    crew = make_jobs.Crew.objects.get(name="North")
    return make_jobs.job(fault=ours.fault, crew=crew, day=make.TODAY)


def test_things_are_kept_in_their_order(job: Job, tessa: User) -> None:
    rows = send(tessa, thing(job, "start"), *(ohms(job, n, minute=n) for n in range(1, 6)))
    assert answers(rows) == ["accepted"] * 6
    job.refresh_from_db()
    assert (job.state, job.started_at) == ("started", make.NOW)
    taken = Reading.objects.filter(taken_by=str(tessa)).order_by("pk")
    assert list(taken.values_list("value", flat=True)) == [1.0, 2.0, 3.0, 4.0, 5.0]


def test_the_same_thing_twice_is_kept_once_and_gets_the_same_answer(job: Job, tessa: User) -> None:
    one = ohms(job, 24)
    first, again = send(tessa, one), send(tessa, one, ohms(job, 25))
    assert first[0].pk == again[0].pk
    assert answers(again) == ["accepted", "accepted"]
    assert Reading.objects.filter(taken_by=str(tessa)).count() == 2


def test_another_persons_key_changes_nothing_of_it(job: Job, tessa: User, cast: Cast) -> None:
    one = ohms(job, 24)
    send(tessa, one)
    (row,) = send(cast.dispatcher, {**one, "body": {**one["body"], "value": 99}})
    assert row.answer == "refused"
    assert SheetItem.objects.get(pk=one["id"]).user == tessa
    assert not Reading.objects.filter(value=99).exists()


def test_what_is_refused_says_why_and_holds_up_nothing_behind_it(job: Job, tessa: User) -> None:
    rows = send(tessa, ohms(job, -4), thing(job, "finish", minutes=30), ohms(job, 24))
    assert answers(rows) == ["refused", "refused", "accepted"]
    assert "0 to 10,000,000" in rows[0].why
    assert "Start it first" in rows[1].why
    assert SheetItem.objects.filter(job=job, answer="refused").count() == 2


def test_a_mistake_of_ours_holds_up_nothing_either(
    job: Job, tessa: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(**_how: Any) -> None:
        raise RuntimeError("no")

    monkeypatch.setattr("faults.sheet.services.job_items.load_vehicle", broken)
    rows = send(tessa, thing(job, "vehicle", parts_ready=True), thing(job, "start"))
    assert answers(rows) == ["refused", "accepted"]
    assert "mistake of ours" in rows[0].why


def test_a_right_that_was_withdrawn_refuses_and_the_office_still_sees_it(
    job: Job, tessa: User
) -> None:
    Grant.objects.filter(user=tessa).delete()
    (row,) = send(tessa, ohms(job, 24))
    assert row.answer == "refused"
    assert "not yours" in row.why
    assert SheetItem.objects.unsettled().get(job=job).body["value"] == 24
    assert not Reading.objects.filter(taken_by=str(tessa)).exists()


def test_a_right_to_one_thing_is_no_right_to_another(job: Job, tessa: User, ours: Corner) -> None:
    Grant.objects.filter(user=tessa).delete()
    Grant.objects.create(user=tessa, role=Role.TRACER.value, property=ours.property)
    ours.fault.assignments.create(user=tessa, from_on=make.TODAY)
    rows = send(tessa, ohms(job, 24), thing(job, "battery", device=1))
    assert answers(rows) == ["accepted", "refused"]
    assert "no longer have the right" in rows[1].why


def test_a_strangers_job_reads_like_one_that_does_not_exist(
    cast: Cast, theirs: Corner, ours: Corner
) -> None:
    limited = make.user(Role.TECHNICIAN, client=ours.property.client)
    other = make_jobs.job(fault=theirs.fault)
    rows = send(limited, thing(other, "start"), {**thing(other, "start"), "job": "zzzzzzzzzz"})
    assert rows[0].why == rows[1].why
    assert [row.job for row in rows] == [None, None]


def test_a_phone_with_a_wrong_clock_is_put_right(job: Job, tessa: User) -> None:
    now = make.NOW + timedelta(hours=1)
    fast = {"now": (now + timedelta(days=2)).isoformat()}
    late = {**thing(job, "start"), "at": (make.NOW + timedelta(days=2)).isoformat()}
    (row,) = take_in(batch={**fast, "items": [late]}, by=tessa, now=now)
    assert (row.answer, row.happened_at) == ("accepted", make.NOW)
    assert row.at == make.NOW + timedelta(days=2)


def test_what_happened_later_than_now_happened_now(job: Job, tessa: User) -> None:
    (row,) = send(tessa, thing(job, "start", minute=61))
    assert row.happened_at == make.NOW + timedelta(hours=1)


@pytest.mark.parametrize(
    "batch",
    [
        {},
        {"items": "all"},
        {"now": "soon", "items": []},
        {"now": "2025-06-15T17:00:00Z", "items": [7]},
        {"now": "2025-06-15T17:00:00Z", "items": [{"id": "7"}]},
        {"now": "2025-06-15T17:00:00Z", "items": [{"id": str(uuid4())}] * 51},
    ],
)
def test_what_is_no_batch_keeps_nothing(tessa: User, batch: dict[str, Any]) -> None:
    with pytest.raises(UnableToReadBatch):
        take_in(batch=batch, by=tessa, now=make.NOW)
    assert not SheetItem.objects.exists()


def test_a_kind_that_nobody_knows_is_refused_by_its_name(job: Job, tessa: User) -> None:
    (row,) = send(tessa, thing(job, "dance"))
    assert "dance" in row.why


def test_two_people_who_saw_a_station_differently_see_both(
    job: Job, tessa: User, cast: Cast
) -> None:
    station = job.fault.stations.get().station_id  # type: ignore[union-attr]
    send(cast.dispatcher, thing(job, "walk", station=station, result="works"))
    (row,) = send(tessa, mine := thing(job, "walk", station=station, result="does not"))
    assert (row.answer, "does not" in row.mine, "works" in row.theirs) == ("conflict", True, True)
    (held,) = send(tessa, {**mine, "id": str(uuid4()), "over": True})
    assert held.answer == "accepted"
    assert WalkNote.objects.get().result == "does not"


def test_a_break_found_twice_at_one_place_shows_both(job: Job, tessa: User, cast: Cast) -> None:
    leg = make.leg(property=job.property, label="L1")
    place = {"leg": leg.pk, "feet_along": 40, "cause": "rodent"}
    send(cast.dispatcher, thing(job, "found", **place))
    (row,) = send(tessa, thing(job, "found", **{**place, "feet_along": 42}))
    assert row.answer == "conflict"
    assert Break.objects.count() == 1


def test_a_photo_of_a_break_that_was_recorded_just_before(job: Job, tessa: User) -> None:
    import base64

    picture = "data:image/jpeg;base64," + base64.b64encode(make.prepared_photo().content).decode()
    found = thing(job, "found", cause="rodent")
    rows = send(tessa, found, thing(job, "photo", picture=picture, of_break_sent=found["id"]))
    assert answers(rows) == ["accepted", "accepted"]
    assert Break.objects.get().photos.count() == 1
    assert "picture" not in rows[1].body


def test_a_whole_visit_ends_the_stations_time_off_central(job: Job, tessa: User) -> None:
    row = job.fault.stations.get()  # type: ignore[union-attr]
    leg = make.leg(property=job.property, label="L1")
    place = {"leg": leg.pk, "feet_along": 12.5, "cause": "rodent", "damage": "cut", "depth_in": 9}
    before = send(tessa, thing(job, "start"), thing(job, "found", **place))
    row.fault.stations.update(stage="agreed")
    rows = send(
        tessa,
        thing(job, "mended", how="spliced", connectors="2 gel-filled"),
        thing(
            job,
            "proven",
            **{f"volts_{row.pk}": 25, f"ohms_{row.pk}": 30},
            minutes_from_central=6,
            valve_opened_and_shut=True,
        ),
        thing(
            job,
            "returned",
            how="mended",
            **dict.fromkeys(("timer_out", "coil_in", "splices_sealed", "enabled_in_central"), True),
        ),
        thing(job, "finish", minutes=50),
    )
    assert {r.kind: r.why for r in [*before, *rows] if r.answer != "accepted"} == {}
    row.refresh_from_db()
    assert (row.stage, row.how_returned) == ("returned", "mended")
    assert Break.objects.get().how_mended == "spliced, 2 gel-filled"
    assert not row.station.stopgaps.open().exists()
    assert not row.station.spell_parts.open().exists()
    job.refresh_from_db()
    assert (job.state, job.actual_minutes) == ("done", 50)


def test_who_digs_is_due_at_the_office(job: Job, tessa: User) -> None:
    (row,) = send(tessa, thing(job, "digs", who="client", notes="gate by the shed"))
    assert row.answer == "accepted"
    follow_up = job.fault.property and job.fault  # type: ignore[union-attr]
    from faults.models import FollowUp

    due = FollowUp.objects.get(fault=follow_up)
    assert "client's own people" in due.what
    assert "gate by the shed" in due.what


def test_a_reading_taken_back_stays_struck_out(job: Job, tessa: User) -> None:
    one = ohms(job, 240)
    rows = send(tessa, one, thing(job, "void", of=one["id"]))
    assert answers(rows) == ["accepted", "accepted"]
    assert Reading.objects.get(value=240).voided_on == make.TODAY


def test_new_batteries_in_a_round(job: Job, tessa: User, ours: Corner) -> None:
    device = ours.property.devices.get()
    rows = send(tessa, thing(job, "battery", device=device.pk, battery_kind="9 V"))
    assert answers(rows) == ["accepted"]
    device.refresh_from_db()
    assert (device.battery_changed_on, device.battery_kind) == (make.TODAY, "9 V")


def test_what_was_looked_at_and_what_is_on_the_vehicle(job: Job, tessa: User) -> None:
    rows = send(
        tessa,
        thing(job, "looked", list="before you go", done=["receiver", "paint"]),
        thing(job, "vehicle", parts_ready=True, batteries_ready=False),
        thing(job, "soil", rod_depth_in=14),
        thing(job, "looked", list="before you go", done=[]),
    )
    assert answers(rows) == ["accepted", "accepted", "accepted", "refused"]
    job.refresh_from_db()
    assert (job.parts_ready, job.batteries_ready, job.rod_depth_in) == (True, False, 14.0)
    assert rows[0].body["done"] == ["receiver", "paint"]


def test_a_visit_that_cannot_go_on_is_held_and_goes_on(job: Job, tessa: User, cast: Cast) -> None:
    held = send(tessa, thing(job, "hold", held_for="weather"))
    other = send(cast.dispatcher, thing(job, "hold", held_for="parts"))
    assert answers(held + other) == ["accepted", "conflict"]
    assert (other[0].mine, other[0].theirs) == ("parts", "the weather")
    send(tessa, thing(job, "release"))
    job.refresh_from_db()
    assert job.held_for == ""


def test_before_a_hole_is_dug(tessa: User, ours: Corner) -> None:
    dig = make_jobs.job(fault=ours.fault, kind="dig and mend")
    body = {
        "depth_in": 66,
        "situations": ["traffic"],
        "answer_protective_system": "shored",
        "answer_competent_person": "Sam looks each morning",
    }
    assert answers(send(tessa, thing(dig, "safety", **body))) == ["accepted"]
    dig.refresh_from_db()
    assert (dig.planned_depth_in, dig.situations) == (66.0, ["traffic"])
    assert dig.safety.get(prompt__contains="protective").answer == "shored"
    (row,) = send(tessa, thing(dig, "safety", answer_protective_system="shored"))
    assert row.answer == "refused"


def test_two_minutes_of_one_visit_show_both(job: Job, tessa: User, cast: Cast) -> None:
    send(tessa, thing(job, "start"), thing(job, "finish", minutes=40))
    same = send(tessa, thing(job, "finish", minutes=40))
    other = send(cast.dispatcher, thing(job, "finish", minutes=55))
    assert answers(same + other) == ["accepted", "conflict"]
    assert "40" in other[0].theirs


def test_a_station_that_others_moved_on_shows_both(job: Job, tessa: User, cast: Cast) -> None:
    mend = {"how": "spliced", "nothing_was_dug": True}
    send(cast.dispatcher, thing(job, "found", cause="rodent"), thing(job, "mended", **mend))
    (row,) = send(tessa, thing(job, "mended", minute=1, **{**mend, "how": "new splice"}))
    assert row.answer == "conflict"
    assert "new splice" in row.mine
    assert "spliced" in row.theirs
