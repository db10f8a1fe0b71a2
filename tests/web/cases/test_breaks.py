"""Pages on which a break is recorded and corrected, its photos, and its evidence."""

from datetime import date

import pytest
from django import forms
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from faults.cases.forms.fields import depth_field
from sites.models import Wire, WireLeg
from tests import make
from tests.cast import Cast, Corner
from tests.web.fault_scene import break_fields, fault_page, standing_leg
from tests.web.pages import open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def test_a_break_is_recorded_and_the_station_is_found(cast: Cast, ours: Corner) -> None:
    leg = standing_leg(ours)
    url = reverse("faults:break_add", args=[ours.fault.ref])
    sheet = send(cast.technician, url, **break_fields(leg, photo=make.picture_file()))
    assert sheet.messages == ["The break is recorded: L1, 2025-06-15."]
    one = ours.fault.breaks.get()
    assert (one.feet_along, one.wires.get().name) == (40.0, "red 1")
    assert one.photos.get().shows == "before"
    assert "Now: found." in sheet.words
    assert "leg L1, 40 ft from" in sheet.panel("breaks")


def test_metres_are_kept_as_feet_and_shown_as_metres(cast: Cast, ours: Corner) -> None:
    ours.property.units = "metric"
    ours.property.save()
    leg = standing_leg(ours)
    url = reverse("faults:break_add", args=[ours.fault.ref])
    sheet = send(cast.technician, url, **break_fields(leg, feet_along="12", depth_in="30"))
    one = ours.fault.breaks.get()
    assert one.feet_along == pytest.approx(39.37, abs=0.01)
    assert one.depth_in == pytest.approx(11.81, abs=0.01)
    assert "12 m from" in sheet.panel("breaks")
    again = open_page(cast.technician, reverse("faults:break_correct", args=[one.ref]))
    assert (again.value("feet_along"), again.value("depth_in")) == ("12", "30")


def test_a_leg_that_was_chosen_without_script_offers_its_wires(cast: Cast, ours: Corner) -> None:
    leg = standing_leg(ours)
    url = reverse("faults:break_add", args=[ours.fault.ref])
    assert "red 1" not in open_page(cast.technician, url).words
    assert "red 1" in open_page(cast.technician, f"{url}?leg={leg.ref}").words
    sheet = send(cast.technician, url, **break_fields(leg, feet_along="400"))
    assert (sheet.status, "red 1" in sheet.words) == (422, True)
    assert sheet.errors == [
        "The leg is shorter than that. Measure again, or correct the length of the leg first if "
        "that is wrong."
    ]


def test_a_file_that_is_no_picture_is_refused_beside_its_field(cast: Cast, ours: Corner) -> None:
    leg = standing_leg(ours)
    url = reverse("faults:break_add", args=[ours.fault.ref])
    file = SimpleUploadedFile("x.jpg", b"not a picture", "image/jpeg")
    sheet = send(cast.technician, url, **break_fields(leg, photo=file))
    assert (sheet.status, "not a picture" in sheet.errors[0]) == (422, True)
    assert ours.fault.breaks.count() == 0


def test_our_own_mend_nearby_is_told_at_once_and_on_the_page(cast: Cast, ours: Corner) -> None:
    leg = standing_leg(ours)
    old = make.fault(ours.on_central, key="F-0001", stage="returned")
    day = date(2025, 1, 10)
    place = {"leg": leg, "feet_along": 42.0, "mended_on": day, "found_on": day}
    make.break_found(fault=old, warranty_until=date(2026, 1, 10), **place)
    url = reverse("faults:break_add", args=[ours.fault.ref])
    sheet = send(cast.technician, url, **break_fields(leg))
    assert "under our own warranty until 2026-01-10" in sheet.messages[0]
    assert "under our own warranty until 2026-01-10" in sheet.panel("breaks")
    assert "F-0001" in sheet.links
    assert "F-0001" not in fault_page(cast.tracer, ours.fault).links


def test_a_break_is_corrected_with_what_was_wrong(cast: Cast, ours: Corner) -> None:
    leg = standing_leg(ours)
    one = make.break_found(fault=ours.fault, leg=leg, feet_along=40.0)
    url = reverse("faults:break_correct", args=[one.ref])
    assert send(cast.technician, url, **break_fields(leg, feet_along="44")).status == 422
    sheet = send(cast.technician, url, **break_fields(leg, feet_along="44", why="misread"))
    assert "Corrected" in sheet.messages[0]
    one.refresh_from_db()
    assert one.feet_along == 44.0


def test_a_photo_is_added_hidden_and_shown_again(cast: Cast, ours: Corner) -> None:
    one = make.break_found(fault=ours.fault)
    url = reverse("faults:fault_photo_add", args=[ours.fault.ref]) + f"?break={one.ref}"
    fields = {"photo": make.picture_file(), "of_break": one.ref, "shows": "after"}
    sheet = send(cast.technician, url, **fields, caption="two splices")
    assert "two splices" in sheet.panel("photos")
    photo = one.photos.get()
    send(cast.technician, reverse("faults:fault_photo_hide", args=[photo.ref]))
    assert "two splices" not in fault_page(cast.client_user, ours.fault).words
    assert "1 hidden photo" in fault_page(cast.technician, ours.fault).words
    send(cast.technician, reverse("faults:fault_photo_show", args=[photo.ref]))
    assert "two splices" in fault_page(cast.client_user, ours.fault).words


def test_a_picture_is_sent_as_a_picture_to_those_who_may_see_the_fault(
    cast: Cast, ours: Corner
) -> None:
    photo = make.fault_photo(fault=ours.fault)
    url = reverse("faults:fault_photo", args=[photo.ref])
    response = open_page(cast.client_user, url).response
    assert (response.headers["Content-Type"], response.content[:2]) == ("image/jpeg", b"\xff\xd8")
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert "private" in response.headers["Cache-Control"]
    assert open_page(cast.outsider, url).status == 404


def test_the_evidence_tells_all_that_a_bill_needs(cast: Cast, ours: Corner) -> None:
    leg = standing_leg(ours)
    one = make.break_found(
        fault=ours.fault,
        leg=leg,
        feet_along=40.0,
        depth_in=15.0,
        damage="cut",
        notice_number="N-1234",
        who_was_on_site="the fence crew",
        liable_party="Fence and Co",
        latitude=33.5,
        longitude=-113.9,
        mended_on=date(2025, 5, 4),
        how_mended="two splices",
        wires=list(leg.wires.all()),
    )
    before = make.fault_photo(fault=ours.fault, of_break=one, shows="before")
    sheet = open_page(cast.dispatcher, reverse("faults:evidence", args=[one.ref]))
    facts = sheet.facts("what")
    assert facts["Place"].startswith("leg L1, 40 ft from")
    assert (facts["Depth"], facts["Cause"]) == ("15 in", "shovel, cut")
    assert (facts["Notice number"], facts["Liable party"]) == ("N-1234", "Fence and Co")
    assert facts["Position"] == "33.500000, -113.900000"
    assert facts["What was done"] == "2025-05-04: two splices"
    pictures = [each.attributes["src"] for each in sheet.panels["pictures"].find("img")]
    assert pictures == [reverse("faults:fault_photo", args=[before.ref])]
    assert "After the mend: no photo" in sheet.panel("pictures")


def test_the_wires_of_the_faults_own_stations_come_first_and_are_ticked(
    cast: Cast, ours: Corner
) -> None:
    leg = standing_leg(ours)
    for name in ("blue 10", "blue 2"):
        WireLeg.objects.create(leg=leg, wire=make.wire(property=ours.property, name=name))
    url = reverse("faults:break_add", args=[ours.fault.ref]) + f"?leg={leg.ref}"
    boxes = open_page(cast.technician, url).tree.find("input", name="wires")
    assert ["checked" in box.attributes for box in boxes] == [True, False, False]
    names = [Wire.objects.get(ref=box.attributes["value"]).name for box in boxes]
    assert names == ["red 1", "blue 2", "blue 10"]


@pytest.mark.parametrize(("units", "most"), [("us", 1200), ("metric", 3048)])
def test_the_deepest_that_can_be_meant_is_the_same_in_either_unit(units: str, most: int) -> None:
    field = depth_field(make.place(units=units), "Depth")
    assert field.clean(str(most)) == pytest.approx(1200)
    with pytest.raises(forms.ValidationError, match="most that can be"):
        field.clean(str(most + 1))


def test_a_break_is_taken_back_where_it_was_recorded(cast: Cast, ours: Corner) -> None:
    url = reverse("faults:break_add", args=[ours.fault.ref])
    sheet = send(cast.dispatcher, url, **break_fields(standing_leg(ours)))
    one = ours.fault.breaks.get()
    back = reverse("faults:break_take_back", args=[one.ref])
    assert back in sheet.html
    # Once in what was done, once beside the break.
    assert sheet.html.count(f'"{back}"') == 2
    sheet = send(cast.dispatcher, back, why="wrong fault")
    assert sheet.messages == ["The break is taken back. The history of the fault says so."]
    assert "Now: reported." in sheet.words
    assert "taken back: wrong fault" in sheet.words
    assert open_page(cast.dispatcher, back).status == 404


def test_who_may_not_move_a_station_back_is_told_who_may(cast: Cast, ours: Corner) -> None:
    url = reverse("faults:break_add", args=[ours.fault.ref])
    sheet = send(cast.technician, url, **break_fields(standing_leg(ours)))
    back = reverse("faults:break_take_back", args=[ours.fault.breaks.get().ref])
    assert sheet.html.count(f'"{back}"') == 1
    sheet = send(cast.technician, back, why="wrong fault")
    assert sheet.status == 422
    assert "These may: dispatcher, owner, water manager." in sheet.errors[0]
    assert ours.fault.breaks.count() == 1


def test_a_mended_break_does_not_offer_to_be_taken_back(cast: Cast, ours: Corner) -> None:
    one = make.break_found(fault=ours.fault, mended_on=date(2025, 6, 1))
    assert (
        reverse("faults:break_take_back", args=[one.ref])
        not in fault_page(cast.dispatcher, ours.fault).html
    )
