"""Pages of what could come home without a dig: for the office, from list to proof."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from faults.models import Fault, FaultStation, Reading, StageMove
from sites.models import Property, Station
from tests import make
from tests.cast import Cast, Corner
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def place(ours: Corner) -> Property:
    """Our property, one station on a timer for its valve, 600 ft of No. 14."""
    StageMove.objects.all().delete()
    FaultStation.objects.all().delete()
    Station.objects.filter(pk=ours.off_central.pk).update(run_length_ft=600.0, wire_size="14")
    ours.off_central.stopgaps.update(
        reason="valve or solenoid", counted_from=since(), fitted_earliest=since(),
        fitted_latest=since(),
    )  # fmt: skip
    return ours.property


def since() -> object:
    """Ten days ago."""
    return timezone.localdate() - timedelta(days=10)


def address(place: Property, *more: str) -> str:
    """Return the address of the list, or of a page below it."""
    return "/".join([f"/properties/{place.ref}/home-without-a-dig", *more, ""])


def keep(cast: Cast, place: Property, station: Station, **typed: str) -> int:
    """Enter a test as the technician does, and return the status."""
    facts = {"taken_on": timezone.localdate().isoformat(), "taken_by": "Tess"}
    named = {f"{name}_{station.pk}": value for name, value in typed.items()}
    url = address(place, "read")
    browser = signed_in(cast.technician)
    shown = browser.get(url)
    hidden = {"form_id": shown.context.get("form_id", "")}
    return browser.post(url, {**facts, **named, **hidden}).status_code


def test_from_the_list_to_the_proof(cast: Cast, ours: Corner, place: Property) -> None:
    station = ours.off_central
    page = signed_in(cast.dispatcher).get(address(place)).content.decode()
    assert "No wire read sound yet. 1 was not read yet." in page
    assert "off for something else than its wire" in page
    assert keep(cast, place, station, apart="open", loop="3.1") == 302
    row = Reading.objects.get(kind="loop")
    assert (row.value, row.is_open_apart, row.across_ohms) == (3.1, True, None)
    browser = signed_in(cast.dispatcher)
    page = browser.get(address(place)).content.decode()
    assert "1 wire read sound and can return today." in page
    assert "was not read yet" not in page
    assert "sound: can return today" in page
    assert f"/stations/{station.ref}/lead-home/" in page
    own = browser.get(f"/stations/{station.ref}/").content.decode()
    assert "sound: can return today" in own
    assert "3.1 V" not in own
    assert browser.post(f"/stations/{station.ref}/lead-home/").status_code == 302
    led = FaultStation.objects.get(station=station)
    assert led.stage == "mended"
    assert Fault.objects.get(pk=led.fault_id).is_outside_the_wire()


def test_an_open_loop_stands_under_broken_and_leads_nowhere(
    cast: Cast, ours: Corner, place: Property
) -> None:
    assert keep(cast, place, ours.off_central, loop="OL") == 302
    browser = signed_in(cast.dispatcher)
    page = browser.get(address(place)).content.decode()
    assert "No way through" in page
    assert "lead-home" not in page
    url = f"/stations/{ours.off_central.ref}/lead-home/"
    assert browser.post(url).status_code == 422
    assert not FaultStation.objects.filter(station=ours.off_central).exists()


@pytest.mark.parametrize(
    "typed",
    [{"apart": "open"}, {"across": "40"}, {"loop": "a few"}, {"loop": "44", "across": "4"}, {}],
)
def test_what_is_half_said_is_not_kept(
    cast: Cast, ours: Corner, place: Property, typed: dict[str, str]
) -> None:
    assert keep(cast, place, ours.off_central, **typed) == 422
    assert not Reading.objects.filter(kind="loop").exists()


def test_over_all_a_user_sees_the_own_properties_alone(
    cast: Cast, ours: Corner, theirs: Corner, place: Property
) -> None:
    page = signed_in(cast.dispatcher).get("/home-without-a-dig/").content.decode()
    assert str(ours.property) in page
    assert str(theirs.property) in page
    answer = signed_in(cast.outsider).get("/home-without-a-dig/")
    assert answer.status_code == 403
    assert signed_in(cast.tracer).get(address(theirs.property)).status_code == 404


def test_a_property_without_a_stopgap_says_so(cast: Cast) -> None:
    empty = make.place()
    page = signed_in(cast.dispatcher).get(address(empty)).content.decode()
    assert "Nothing stands in for a wire here." in page


def test_the_list_takes_as_many_queries_for_3_as_for_30(cast: Cast, place: Property) -> None:
    clock = make.controller(property=place)
    counts = []
    for more in (3, 27):
        for _ in range(more):
            make.stopgap(station=make.station(controller=clock))
        browser = signed_in(cast.dispatcher)
        with CaptureQueriesContext(connection) as asked:
            browser.get(address(place))
        counts.append(len(asked))
    assert counts[0] == counts[1]
    assert counts[0] <= 32
