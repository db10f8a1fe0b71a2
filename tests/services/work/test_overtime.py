"""Overtime of a crew: what is asked, and that the board lets work end in it. Made-up costs."""

from datetime import time, timedelta
from decimal import Decimal
from typing import Any

import pytest

from faults.cases.services.working_days import overtime_costs, overtime_percent, working_on
from faults.models import Crew
from faults.work.services import UnableToSend, assign_job
from faults.work.services.board import board_of
from faults.work.services.clashes import clashes_of
from faults.work.services.crew_facts import CrewFacts, UnableToSetUpCrew
from faults.work.services.crews import add_crew, change_crew
from sites.kernel.engines.roles import Role
from tests import make, make_jobs

pytestmark = pytest.mark.django_db

TODAY = make.TODAY
MONDAY = TODAY + timedelta(days=1)
OVERTIME: dict[str, Any] = {
    "overtime_minutes": 60,
    "hour_costs": Decimal("40.00"),
    "overtime_hour_costs": Decimal("60.00"),
    "costs_currency": "USD",
}


def told(**given: Any) -> CrewFacts:
    return CrewFacts(
        **{"name": "South", "starts_at": time(7), "ends_at": time(16), **OVERTIME, **given}
    )


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"overtime_minutes": None}, "overtime_minutes"),
        ({"hour_costs": None}, "hour_costs"),
        ({"overtime_hour_costs": None}, "overtime_hour_costs"),
        ({"costs_currency": ""}, "costs_currency"),
        ({"costs_currency": "US"}, "costs_currency"),
        ({"overtime_minutes": 0}, "overtime_minutes"),
        ({"overtime_minutes": 8 * 60}, "overtime_minutes"),
        ({"hour_costs": Decimal(0)}, "hour_costs"),
        ({"overtime_hour_costs": Decimal(-1)}, "hour_costs"),
    ],
)
def test_overtime_that_cannot_be_is_refused(given: dict[str, Any], field: str) -> None:
    with pytest.raises(UnableToSetUpCrew) as no:
        add_crew(facts=told(**given))
    assert no.value.field == field
    assert not Crew.objects.exists()


def test_all_of_it_or_none_and_up_to_midnight() -> None:
    crew = add_crew(facts=told(overtime_minutes=8 * 60 - 1))
    assert (crew.overtime_minutes, working_on(crew, MONDAY).overtime) == (479, 479)
    none = dict.fromkeys(OVERTIME) | {"costs_currency": ""}
    change_crew(crew=crew, facts=told(**none))
    crew.refresh_from_db()
    assert (crew.overtime_minutes, crew.hour_costs, working_on(crew, MONDAY).overtime) == (
        None,
        None,
        0,
    )


def test_what_it_costs() -> None:
    crew = add_crew(facts=told())
    assert overtime_percent(crew) == 150
    assert overtime_costs(crew, 20) == Decimal("20.00")
    # 25 minutes at 60.10 are 25.041(6); at 60.12 they are 25.05 to the cent.
    assert overtime_costs(Crew(overtime_hour_costs=Decimal("60.10")), 25) == Decimal("25.04")
    assert overtime_costs(Crew(overtime_hour_costs=Decimal("60.12")), 25) == Decimal("25.05")
    assert overtime_costs(Crew(), 25) is None
    # Rounded up to whole per cent: 40.01 over 30 is 133.37.
    odd = Crew(hour_costs=Decimal(30), overtime_hour_costs=Decimal("40.01"))
    assert overtime_percent(odd) == 134


def test_work_may_end_in_overtime_and_not_behind_it() -> None:
    office = make.user(Role.DISPATCHER)
    crew = add_crew(facts=told())
    make_jobs.member(crew=crew, user=make.user(Role.TECHNICIAN))
    given: dict[str, Any] = {"crew": crew, "day": MONDAY, "by": office, "at": make.NOW}

    def send(minutes: int) -> Any:
        job = make_jobs.job(expected_minutes=minutes)
        return assign_job(job=job, starts_at=time(15), today=TODAY, **given)

    with pytest.raises(UnableToSend, match=r"from 07:00 to 16:00 that day, with overtime to 17:00"):
        send(121)
    late = send(120)
    assert not any("hours" in words for words in clashes_of([late], today=TODAY)[late.pk])
    (card,) = board_of(office, days=[MONDAY], today=TODAY).cards[-1:]
    assert (card.job, card.clashes) == (late, [])
    Crew.objects.update(overtime_minutes=59)
    words = clashes_of([late], today=TODAY)[late.pk]
    assert "It lies outside the crew's hours, 07:00 to 16:59." in words
    board = board_of(office, days=[MONDAY], today=TODAY)
    assert any("07:00 to 16:59" in words for words in board.cards[-1].clashes)


def test_more_than_its_hours_only_with_overtime_used_up() -> None:
    office = make.user(Role.DISPATCHER)
    crew = add_crew(facts=told())
    make_jobs.member(crew=crew, user=make.user(Role.TECHNICIAN))
    job = make_jobs.job(crew=crew, day=MONDAY, expected_minutes=600)

    def full() -> tuple[bool, bool]:
        cell = board_of(office, days=[MONDAY], today=TODAY).rows[0].cells[0]
        words = clashes_of([job], today=TODAY)[job.pk]
        return cell.is_too_full, any("which has 10 h" in each for each in words)

    assert full() == (False, False)
    job.expected_minutes = 601
    job.save()
    assert full() == (True, True)
