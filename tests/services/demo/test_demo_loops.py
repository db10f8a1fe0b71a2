"""The demo reads some loops where there is enough to read, and plans a round over the rest."""

from datetime import date

import pytest

from faults.models import Crew, Job, JobKind, Reading
from faults.readings.engines.bring_home import Verdict
from faults.readings.services.bring_home import homes_of
from reports.demo.services.demo_loops import LEAST_TO_READ, OFF_BY, make_demo_loops
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs

pytestmark = pytest.mark.django_db

TODAY = date(2026, 6, 1)


@pytest.fixture
def person() -> User:
    """The demo's technician."""
    return make.user(Role.TECHNICIAN, first_name="Tess")


def crew_of(person: User) -> Crew:
    """A van."""
    return make_jobs.crew(person)


@pytest.mark.parametrize(("stations", "read"), [(LEAST_TO_READ - 1, 0), (LEAST_TO_READ, 6)])
def test_loops_are_read_where_there_is_enough(person: User, stations: int, read: int) -> None:
    clock = make.controller(property=make.place(latitude=40.0, longitude=-105.0))
    for number in range(1, stations + 1):
        station = make.station(
            controller=clock, number=number, run_length_ft=600.0, wire_size="14", coil_ohms=40.0
        )
        make.stopgap(station=station, on=date(2026, 5, 20), reason="valve or solenoid")
    make_demo_loops(by=person, at=make.NOW, today=TODAY, crew=crew_of(person), day=TODAY)
    rows = Reading.objects.filter(kind="loop")
    assert rows.count() == read
    assert Job.objects.filter(kind=JobKind.BRING_HOME).count() == min(read, 1)
    if read:
        homes = homes_of([row.station for row in rows.order_by("pk")], today=TODAY)
        broken = [home.verdict is Verdict.BROKEN for home in homes]
        assert broken == [off_by is None for off_by in OFF_BY]
        assert Verdict.SOUND in [home.verdict for home in homes]
