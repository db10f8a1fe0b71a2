"""Page and phone prove a station by what its wiring has, and from central where that reaches it."""

from typing import Any

import pytest
from django.urls import reverse

from faults.models import Fault, Proof, Reading
from faults.rounds.services.of_job import progress_of_job
from faults.sheet.forms.payload import sheet_payload
from faults.sheet.forms.rounds import check_up_step
from sites.models import Station
from tests import make, make_jobs
from tests.cast import Cast
from tests.services.sheet.sending import answers, thing
from tests.services.sheet.sending import send as send_from_phone
from tests.web.casework.test_moves import move_url
from tests.web.fault_scene import TODAY, fault_page
from tests.web.pages import Sheet, open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def _mended(*stations: Station, **given: Any) -> Fault:
    fault = make.fault(*stations, **given)
    fault.stations.update(stage="mended")
    fault.stage = "mended"
    fault.save()
    return fault


def _station(wiring: str = "two-wire path", central: str = "linked", name: str = "D") -> Station:
    place = make.place()
    clock = make.controller(property=place, name=name, wiring=wiring, central=central)
    point = make.point(property=place, name="valve box 4", kind="valve box")
    return make.station(controller=clock, valve_point=point)


def _prove(cast: Cast, fault: Fault, **given: Any) -> Sheet:
    stations = [str(row.pk) for row in fault.stations.all()]
    told = {"on": TODAY, "valve_opened_and_shut": "on", "minutes_from_central": "6", **given}
    return send(cast.technician, move_url(fault, "proven"), stations=stations, **told)


@pytest.mark.parametrize(
    ("read", "volts", "current_ma"),
    [
        ({"volts": "27"}, 27.0, None),
        ({"current_ma": "240"}, None, 240.0),
        ({"volts": "27", "current_ma": "240"}, 27.0, 240.0),
    ],
)
def test_a_station_behind_a_decoder_is_proven_by_volts_or_current(
    cast: Cast, read: dict[str, str], volts: float | None, current_ma: float | None
) -> None:
    fault = _mended(_station())
    key = fault.stations.get().pk
    _prove(cast, fault, **{f"{name}_{key}": value for name, value in read.items()})
    proof = Proof.objects.get()
    kept = proof.volts.value if proof.volts else None
    assert (kept, proof.current_ma, proof.ohms) == (volts, current_ma, None)
    assert (proof.minutes_from_central, proof.minutes_at_clock) == (6, None)
    assert fault.stations.get().stage == "proven"
    words = fault_page(cast.technician, fault).panel("proof")
    assert "6, from central" in words
    assert ("240" in words) is (current_ma is not None)
    assert ("Current, mA" in words) is (current_ma is not None)


def test_volts_at_a_decoder_stand_at_its_valve(cast: Cast) -> None:
    fault = _mended(_station())
    _prove(cast, fault, **{f"volts_{fault.stations.get().pk}": "27"})
    reading = Reading.objects.get(station=fault.stations.get().station)
    assert (str(reading.point), reading.wire, reading.is_loaded) == ("valve box 4", None, True)


def test_the_page_asks_no_ohms_of_a_two_wire_path_and_says_why(cast: Cast) -> None:
    fault = _mended(_station(), symptom="leak to earth")
    key = fault.stations.get().pk
    page = open_page(cast.technician, move_url(fault, "proven"))
    names = {field.attributes.get("name") for field in page.tree.find("input")}
    assert {f"volts_{key}", f"current_ma_{key}", "minutes_from_central"} <= names
    assert not {f"ohms_{key}", f"megohms_{key}", "minutes_at_clock"} & names
    assert "Controller D is a two-wire path" in page.words


def test_neither_volts_nor_current_is_refused_and_nothing_is_kept(cast: Cast) -> None:
    fault = _mended(_station())
    page = _prove(cast, fault)
    assert page.status == 422
    assert "the volts or the current at its decoder" in page.errors[0]
    assert not Proof.objects.exists()


@pytest.mark.parametrize(("name", "value", "is_odd"), [("volts", "0", True), ("volts", "1", False)])
def test_nothing_at_all_at_a_decoder_needs_words(
    cast: Cast, name: str, value: str, is_odd: bool
) -> None:
    fault = _mended(_station())
    key = f"{name}_{fault.stations.get().pk}"
    page = _prove(cast, fault, **{key: value})
    assert any("unusual" in words for words in page.errors) is is_odd
    if is_odd:
        _prove(cast, fault, **{key: value}, why="its meter is broken")
    assert fault.stations.get().stage == "proven"


@pytest.mark.parametrize("central", ["not meant to be linked", "link lost"])
@pytest.mark.parametrize("wiring", ["two-wire path", "one wire per station"])
def test_without_a_link_it_is_proven_at_the_clock_and_the_page_says_so(
    cast: Cast, central: str, wiring: str
) -> None:
    fault = _mended(_station(wiring, central))
    key = fault.stations.get().pk
    page = open_page(cast.technician, move_url(fault, "proven"))
    assert f"Central does not reach controller D ({central})" in page.words
    assert page.tree.find("input", name="minutes_from_central") == []
    read = {f"volts_{key}": "25", f"ohms_{key}": "30"}
    assert _prove(cast, fault, **read).status == 422
    _prove(cast, fault, **read, minutes_at_clock="4")
    proof = Proof.objects.get()
    assert (proof.minutes_from_central, proof.minutes_at_clock) == (None, 4)
    assert "4, at the clock" in fault_page(cast.technician, fault).panel("proof")


def test_a_link_that_nobody_knows_of_still_needs_the_run_from_central(cast: Cast) -> None:
    fault = _mended(_station("one wire per station", "not known"))
    key = fault.stations.get().pk
    page = open_page(cast.technician, move_url(fault, "proven"))
    assert "It is not known whether central reaches controller D." in page.words
    read = {f"volts_{key}": "25", f"ohms_{key}": "30"}
    assert _prove(cast, fault, **read, minutes_from_central="").status == 422
    _prove(cast, fault, **read)
    assert fault.stations.get().stage == "proven"


def test_two_stations_of_two_kinds_are_each_asked_their_own(cast: Cast) -> None:
    place = make.place()
    paths = (("A", "one wire per station", "linked"), ("D", "two-wire path", "link lost"))
    rows = [
        make.station(
            controller=make.controller(property=place, name=name, wiring=wiring, central=central)
        )
        for name, wiring, central in paths
    ]
    fault = _mended(*rows)
    one, two = (fault.stations.get(station=row).pk for row in rows)
    read = {f"volts_{one}": "25", f"ohms_{one}": "30", f"current_ma_{two}": "200"}
    assert _prove(cast, fault, **read).status == 422
    _prove(cast, fault, **read, minutes_at_clock="3")
    kept = Proof.objects.order_by("fault_station__station__controller__name")
    runs = list(kept.values_list("minutes_from_central", "minutes_at_clock", "current_ma"))
    assert runs == [(6, None, None), (None, 3, 200.0)]


def test_the_phone_asks_and_takes_the_same(cast: Cast) -> None:
    fault = _mended(_station(central="not meant to be linked"))
    key = fault.stations.get().pk
    job = make_jobs.job(fault=fault, crew=make_jobs.crew(cast.technician), day=make.TODAY)
    payload = sheet_payload(job=job, user=cast.technician, today=make.TODAY, at=make.NOW)
    steps = {step["id"]: step for step in payload["steps"]}
    asked = [field["name"] for field in steps["proven"]["forms"][0]["fields"]]
    assert asked[:3] == [f"volts_{key}", f"current_ma_{key}", "minutes_at_clock"]
    assert any("two-wire path" in words for words in steps["proven"]["cautions"])
    assert [form["kind"] for form in steps["arrive"].get("forms", [])] == []
    seen = {"valve_opened_and_shut": True}
    rows = send_from_phone(
        cast.technician,
        thing(job, "proven", **seen, minutes_at_clock=5),
        thing(job, "proven", **seen, minutes_from_central=5, **{f"current_ma_{key}": 210}),
        thing(job, "proven", **seen, minutes_at_clock=5, **{f"current_ma_{key}": 210}),
    )
    assert answers(rows) == ["refused", "refused", "accepted"]
    assert "proven at the clock" in rows[1].why
    assert Proof.objects.get().current_ma == 210


def test_ohms_of_a_two_wire_path_are_asked_and_taken_nowhere_else(cast: Cast) -> None:
    station, beside = _station(), _station("one wire per station")
    place = station.controller.property
    beside.controller.property = place
    beside.controller.name = "A"
    beside.controller.save()
    job = make_jobs.job(property=place, kind="wire check-up")
    come, _visit = progress_of_job(job)
    asked = [form["title"] for form in check_up_step(job, come, make.TODAY)["forms"]]
    assert asked == [str(beside)]
    unsure = {"opens_by_hand": "not tried", "others_run": "not tried"}
    report = {"reported_on": TODAY, "symptom": "open", "ohms": "24", **unsure}
    url = reverse("faults:report_on_property", args=[place.ref])
    page = send(cast.dispatcher, url, stations=f"D:{station.number}", **report)
    assert (page.status, "no ohms of its own" in page.errors[0]) == (422, True)
    assert page.value("ohms") == "24"
    assert not Fault.objects.filter(stations__station=station).exists()


def test_the_search_says_that_two_wire_paths_are_not_offered_yet(cast: Cast) -> None:
    fault = make.fault(_station())
    station = fault.stations.get().station
    page = open_page(cast.technician, f"/faults/{fault.ref}/search/{station.ref}/")
    assert "not offered yet" in page.words
