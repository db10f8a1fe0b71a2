"""Whether a dig is agreed to: two stations, two limits, the first and last day of an authority."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from faults.cases.engines.stages import Stage
from faults.models import DigOverride, FaultStation, Job, JobKind
from faults.work.engines.safety import PRIVATE, Prompt
from faults.work.services import UnableToWork
from faults.work.services.gates import refuse_to_dig, refuse_without_consent, refuse_without_depth
from faults.work.services.readiness import readiness_of
from faults.work.services.ready_lines import State, Subject
from faults.work.services.safety import answer_safety
from sites.models import StandingAuthority, Station
from tests import make, make_jobs
from tests.services.work.scene import TODAY, Scene

pytestmark = pytest.mark.django_db
ONE = timedelta(days=1)


def put(scene: Scene, *stages: Stage) -> None:
    """Put the two stations of the fault at a stage each."""
    for station, stage in zip(scene.stations, stages, strict=True):
        FaultStation.objects.filter(fault=scene.fault, station=station).update(stage=stage.value)


def dig(scene: Scene, *stations: Station, **given: object) -> Job:
    """A dig of today at these stations of the fault, or at all of them."""
    told = {"fault": scene.fault, "kind": JobKind.DIG, "day": TODAY, "planned_depth_in": 18}
    return make_jobs.job(stations=stations, **{**told, **given})


def answered(scene: Scene, job: Job) -> None:
    """Answer what a hole of 5 ft asks before it is dug."""
    named = {Prompt.PROTECTIVE_SYSTEM: "shored", Prompt.COMPETENT_PERSON: "Tessa"}
    named |= dict.fromkeys(PRIVATE, "none there: the owner")
    answer_safety(
        job=job, depth_in=60, situations=(), answers=named, by=scene.technician, at=make.NOW
    )


def is_agreed(job: Job) -> bool:
    """Ask the gate; the list of what a job lacks must say the same."""
    lines = readiness_of([Job.objects.get(pk=job.pk)], today=TODAY)[job.pk].lines
    shown = next(each.state for each in lines if each.subject is Subject.CONSENT)
    try:
        refuse_without_consent(job, make.NOW)
    except UnableToWork:
        agreed = False
    else:
        agreed = True
    assert shown is (State.READY if agreed else State.NOT_READY)
    return agreed


TWO = [
    (Stage.AGREED, Stage.AGREED, True),
    (Stage.AGREED, Stage.FOUND, False),
    (Stage.FOUND, Stage.AGREED, False),
    (Stage.FOUND, Stage.FOUND, False),
    (Stage.REPORTED, Stage.AGREED, False),
    (Stage.AGREED, Stage.SCHEDULED, False),
    (Stage.MENDED, Stage.AGREED, True),
    (Stage.AGREED, Stage.PROVEN, True),
    (Stage.MENDED, Stage.FOUND, False),
    # One that is closed is no longer asked about; where all are, nobody said yes to this dig.
    (Stage.AGREED, Stage.RETURNED, True),
    (Stage.WITHDRAWN, Stage.AGREED, True),
    (Stage.FOUND, Stage.GIVEN_UP, False),
    (Stage.RETURNED, Stage.FOUND, False),
    (Stage.RETURNED, Stage.RETURNED, False),
]


@pytest.mark.parametrize(("first", "second", "agreed"), TWO)
def test_every_open_station_of_the_dig_is_agreed_to(
    scene: Scene, first: Stage, second: Stage, agreed: bool
) -> None:
    put(scene, first, second)
    assert is_agreed(dig(scene)) is agreed
    assert is_agreed(dig(scene, *scene.stations)) is agreed


def test_a_dig_asks_only_about_the_stations_that_it_goes_to(scene: Scene) -> None:
    put(scene, Stage.AGREED, Stage.FOUND)
    first, second = scene.stations
    assert is_agreed(dig(scene, first))
    assert not is_agreed(dig(scene, second))
    elsewhere = make.station(controller=first.controller, number=11)
    assert not is_agreed(dig(scene, elsewhere))


def test_the_yes_to_another_fault_of_the_station_is_no_yes_to_this_one(scene: Scene) -> None:
    make.fault(make.station(controller=scene.stations[0].controller), stage=Stage.AGREED.value)
    put(scene, Stage.FOUND, Stage.FOUND)
    assert not is_agreed(dig(scene))
    assert not is_agreed(dig(scene, fault=None, property=scene.place))


@pytest.mark.parametrize(
    ("from_on", "to_on", "holds"),
    [
        (TODAY - ONE, None, True),
        (TODAY, None, True),
        (TODAY + ONE, None, False),
        (TODAY - ONE, TODAY, False),
        (TODAY - ONE, TODAY + ONE, True),
        (TODAY, TODAY + ONE, True),
    ],
)
def test_a_standing_authority_holds_from_its_first_day_to_the_one_before_its_end(
    scene: Scene, from_on: date, to_on: date | None, holds: bool
) -> None:
    make.authority(property=scene.place, from_on=from_on, to_on=to_on)
    assert is_agreed(dig(scene)) is holds


@pytest.mark.parametrize(
    ("at", "holds"),
    [
        # Midnight in Los Angeles is 7 h UTC in June.
        (datetime(2025, 6, 15, 6, 59, tzinfo=UTC), False),
        (datetime(2025, 6, 15, 7, 0, tzinfo=UTC), True),
        (datetime(2025, 6, 16, 6, 59, tzinfo=UTC), True),
        (datetime(2025, 6, 16, 7, 0, tzinfo=UTC), False),
    ],
)
def test_the_day_of_an_authority_is_the_propertys_own(
    scene: Scene, at: datetime, holds: bool
) -> None:
    scene.place.time_zone = "America/Los_Angeles"
    scene.place.save()
    make.authority(property=scene.place, from_on=TODAY, to_on=TODAY + ONE)
    job = dig(scene)
    if holds:
        refuse_without_consent(job, at)
    else:
        with pytest.raises(UnableToWork, match="Nobody has agreed"):
            refuse_without_consent(job, at)


@pytest.mark.parametrize(("minutes", "covered"), [(119, True), (120, True), (121, False)])
def test_an_authority_covers_its_hours_to_the_minute(
    scene: Scene, minutes: int, covered: bool
) -> None:
    make.authority(property=scene.place, up_to_hours=Decimal(2), from_on=TODAY - ONE)
    make.authority(property=scene.place, up_to_hours=Decimal(1), from_on=TODAY - 2 * ONE)
    make.authority(up_to_hours=Decimal(9))
    assert is_agreed(dig(scene, expected_minutes=minutes)) is covered


def test_the_newest_standing_limit_wins_where_it_is_the_lower_one(scene: Scene) -> None:
    make.authority(property=scene.place, up_to_hours=Decimal(2), from_on=TODAY - ONE)
    make.authority(property=scene.place, up_to_hours=Decimal(1), from_on=TODAY)
    assert is_agreed(dig(scene, expected_minutes=60))
    assert not is_agreed(dig(scene, expected_minutes=61))


def test_the_list_judges_a_dig_without_a_day_by_today(scene: Scene) -> None:
    make.authority(property=scene.place, from_on=TODAY - 2 * ONE, to_on=TODAY)
    assert not is_agreed(dig(scene, day=None, expected_minutes=60))


def test_an_authority_over_money_does_not_cover_hours(scene: Scene) -> None:
    make.authority(property=scene.place, up_to_hours=None, up_to_amount=Decimal(900))
    make.authority(property=scene.place, up_to_amount=Decimal(900))
    assert not is_agreed(dig(scene, expected_minutes=60))


def test_what_does_not_cover_is_named_with_every_limit(scene: Scene) -> None:
    make.authority(property=scene.place, up_to_hours=Decimal(1))
    make.authority(property=scene.place, up_to_hours=Decimal(2), from_on=TODAY)
    with pytest.raises(UnableToWork) as no:
        refuse_without_consent(dig(scene, expected_minutes=150), make.NOW)
    assert str(no.value) == (
        "Nobody has agreed to this dig. Ask the client, and enter the yes. "
        "The standing authority does not cover 150 minutes of work: up to 2 hours; up to 1 hours."
    )
    StandingAuthority.objects.all().delete()
    with pytest.raises(UnableToWork, match=r"enter the yes\.$"):
        refuse_without_consent(dig(scene), make.NOW)


@pytest.mark.parametrize(
    ("depth_in", "words"),
    [(None, "How deep will it be"), (239, ""), (240, ""), (240.5, "Deeper than 20 ft")],
)
def test_a_depth_is_known_and_not_beyond_20_ft(
    scene: Scene, depth_in: float | None, words: str
) -> None:
    job = dig(scene)
    job.planned_depth_in = depth_in
    if words:
        with pytest.raises(UnableToWork, match=words):
            refuse_without_depth(job)
    else:
        refuse_without_depth(job)


def test_the_four_questions_before_a_dig_come_in_their_order(scene: Scene) -> None:
    job = dig(scene, planned_depth_in=None)
    refusals = []
    for mended in (
        lambda: put(scene, Stage.AGREED, Stage.AGREED),
        lambda: setattr(job, "planned_depth_in", 60),
        lambda: answered(scene, job),
        lambda: DigOverride.objects.create(job=job, reason="seen", by=scene.office, at=make.NOW),
    ):
        with pytest.raises(UnableToWork) as no:
            refuse_to_dig(job, make.NOW)
        refusals.append(str(no.value))
        mended()
    refuse_to_dig(job, make.NOW)
    assert [words.split()[0] for words in refusals] == ["Nobody", "How", "Answer", "The"]
    assert refusals[-1].startswith("The utility notice does not let this dig go: ")


@pytest.mark.parametrize(("later", "lets_go"), [(-ONE, False), (0 * ONE, True), (ONE, False)])
def test_a_dig_is_judged_by_the_day_on_which_it_begins(
    scene: Scene, later: timedelta, lets_go: bool
) -> None:
    make.authority(property=scene.place, from_on=TODAY, to_on=TODAY + ONE)
    job = make_jobs.private_lines_known(dig(scene))
    DigOverride.objects.create(job=job, reason="seen", by=scene.office, at=make.NOW)
    if lets_go:
        refuse_to_dig(job, make.NOW + later)
    else:
        with pytest.raises(UnableToWork, match="Nobody has agreed"):
            refuse_to_dig(job, make.NOW + later)
