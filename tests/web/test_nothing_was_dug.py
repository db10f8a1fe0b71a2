"""Where ground was opened, office and phone both refuse that nothing was dug."""

from datetime import date
from typing import Any

import pytest

from faults.cases.services.opened import ground_was_opened
from faults.models import Fault, StageMove
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.services.sheet.sending import answers, thing
from tests.services.sheet.sending import send as send_from_phone
from tests.web.casework.test_moves import move_url
from tests.web.fault_scene import TODAY, fault_page, standing_leg
from tests.web.pages import Sheet, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

ALONG = {"feet_along": 60.0, "depth_in": 9.0}
AT_A_BOX = {"feet_along": 100.0, "depth_in": None}


def _found(ours: Corner, *places: dict[str, Any]) -> Fault:
    """Our fault, found, with a break on leg L1 at each of these places."""
    leg = standing_leg(ours)
    for number, place in enumerate(places, start=1):
        make.break_found(fault=ours.fault, leg=leg, running_number=number, **place)
    ours.fault.stations.update(stage="found")
    ours.fault.stage = "found"
    ours.fault.save()
    return ours.fault


def _mend(cast: Cast, fault: Fault, **given: Any) -> Sheet:
    told = {"how": "two splices", "on": TODAY, "nothing_was_dug": "on", **given}
    stations = [str(row.pk) for row in fault.stations.all()]
    return send(cast.technician, move_url(fault, "mended"), stations=stations, **told)


def _stage(fault: Fault) -> str:
    return str(fault.stations.get().stage)


def test_the_office_refuses_it_and_says_what_to_do_next(cast: Cast, ours: Corner) -> None:
    fault = _found(ours, ALONG)
    sheet = _mend(cast, fault)
    assert (sheet.status, _stage(fault)) == (422, "found")
    assert ground_was_opened() in sheet.errors[0]
    assert sheet.value("how") == "two splices"
    without = _mend(cast, fault, nothing_was_dug="")
    assert "Nobody has agreed to a dig yet" in without.errors[0]


@pytest.mark.parametrize(
    ("places", "stage"),
    [
        ([AT_A_BOX], "mended"),
        ([{"feet_along": 0.0, "depth_in": 0.0}], "mended"),
        ([{"feet_along": None, "depth_in": None}], "mended"),
        ([{"feet_along": None, "depth_in": 4.0}], "found"),
        ([AT_A_BOX, {"feet_along": 60.0, "depth_in": None}], "found"),
        ([AT_A_BOX, {"feet_along": 0.0, "depth_in": None}], "mended"),
    ],
)
def test_every_break_counts_and_a_box_is_no_hole(
    cast: Cast, ours: Corner, places: list[dict[str, Any]], stage: str
) -> None:
    fault = _found(ours, *places)
    _mend(cast, fault)
    assert _stage(fault) == stage


def test_naming_only_the_break_in_the_box_jumps_no_gate(cast: Cast, ours: Corner) -> None:
    fault = _found(ours, AT_A_BOX, ALONG)
    first = fault.breaks.get(running_number=1)
    _mend(cast, fault, breaks=[str(first.pk)])
    assert _stage(fault) == "found"
    assert fault.breaks.filter(mended_on=None).count() == 2


def test_a_break_entered_as_mended_was_dug_all_the_same(cast: Cast, ours: Corner) -> None:
    fault = _found(ours, {**ALONG, "mended_on": make.TODAY})
    _mend(cast, fault)
    assert _stage(fault) == "found"


def test_a_hole_of_an_earlier_mend_is_behind_us(cast: Cast, ours: Corner) -> None:
    fault = _found(ours, {**ALONG, "mended_on": make.TODAY}, AT_A_BOX)
    StageMove.objects.create(
        fault_station=fault.stations.get(),
        from_stage="agreed",
        to_stage="mended",
        on=make.TODAY,
        moved_at=make.NOW,
    )
    _mend(cast, fault)
    assert _stage(fault) == "mended"


def test_the_phone_is_refused_in_the_same_words(cast: Cast, ours: Corner) -> None:
    fault = _found(ours, ALONG)
    job = make_jobs.job(fault=fault, crew=make_jobs.crew(cast.technician), day=date(2025, 6, 15))
    rows = send_from_phone(
        cast.technician,
        thing(job, "mended", how="spliced", nothing_was_dug=True),
        thing(job, "digs", who="nobody"),
    )
    assert answers(rows) == ["refused", "refused"]
    assert {row.why for row in rows} == {ground_was_opened()}
    assert _stage(fault) == "found"
    assert "two splices" not in fault_page(cast.technician, fault).words


def test_nobody_digs_where_the_break_is_in_a_box(cast: Cast, ours: Corner) -> None:
    fault = _found(ours, AT_A_BOX)
    job = make_jobs.job(fault=fault, crew=make_jobs.crew(cast.technician), day=date(2025, 6, 15))
    (row,) = send_from_phone(cast.technician, thing(job, "digs", who="nobody"))
    assert (row.answer, row.why) == ("accepted", "")
