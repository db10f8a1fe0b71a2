"""A leg's page, and the pages of the verbs on legs."""

import pytest
from django.urls import reverse

from sites.models import Leg
from tests import make
from tests.cast import Cast, Corner
from tests.services.yard import Yard, make_yard
from tests.web.pages import Sheet, open_page, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def yard(ours: Corner) -> Yard:
    """The yard, on our client's property."""
    return make_yard(ours.property)


def at(name: str, leg: Leg) -> str:
    """Return the address of a page about a leg."""
    return reverse(name, args=[leg.ref])


def split(cast: Cast, yard: Yard) -> Sheet:
    """Split leg a, 40 ft from the clock, at a new box."""
    return send(
        cast.technician, at("faults:leg_split", yard.a), new_name="found", new_kind="splice box",
        measured_from="first", feet="40", on="2025-06-01",
    )  # fmt: skip


def test_the_page_tells_of_wires_and_breaks(cast: Cast, ours: Corner, yard: Yard) -> None:
    found = ours.fault.breaks.create(leg=yard.a, feet_along=30, cause="root", found_on=make.TODAY)
    ours.fault.breaks.create(leg=yard.a, running_number=2, cause="rock")
    page = open_page(cast.technician, at("faults:leg", yard.a))
    assert page.heading == "Leg a, 100 ft"
    assert page.column(0, "wires") == ["COM", "SP1", "W1", "W2"]
    fault = str(found.fault)
    assert page.rows("breaks") == [
        [fault, "2025-06-15", "root", "30 ft from clock"],
        [fault, "", "rock", "somewhere along it"],
    ]


def test_a_tracer_without_the_fault_reads_of_the_break_only(cast: Cast, yard: Yard) -> None:
    make.fault(yard.first).breaks.create(leg=yard.a, feet_along=30, cause="root")
    page = open_page(cast.tracer, at("faults:leg", yard.a))
    assert page.rows("breaks") == [["—", "", "root", "30 ft from clock"]]
    assert "Split at a point that was found" not in page.links


def test_a_stranger_finds_nothing_and_a_tracer_may_not_change(cast: Cast, yard: Yard) -> None:
    assert open_page(cast.outsider, at("faults:leg", yard.a)).status == 404
    assert open_page(cast.tracer, at("faults:leg_split", yard.a)).status == 403


def test_the_list_leads_to_the_leg_and_its_points(cast: Cast, yard: Yard) -> None:
    page = open_page(cast.technician, reverse("sites:legs", args=[yard.place.ref]))
    assert page.links["a"] == at("faults:leg", yard.a)
    assert page.links["box"] == reverse("sites:point", args=[yard.box.ref])


def test_a_leg_is_added_from_a_points_page(cast: Cast, yard: Yard) -> None:
    page = open_page(cast.technician, reverse("sites:point", args=[yard.north.ref]))
    url = page.links["Add a leg from here"]
    assert open_page(cast.technician, url).value("start") == str(yard.north.pk)
    page = send(
        cast.technician, url, start=yard.north.pk, end=yard.south.pk, length_ft="25",
        length_source="paced", label="d", in_conduit="no",
    )  # fmt: skip
    assert page.heading == "Leg d, 25 ft"
    assert page.facts()["In conduit"] == "no"


def test_what_was_not_touched_stays_as_it_is(cast: Cast, yard: Yard) -> None:
    url = at("sites:leg_change", yard.a)
    page = open_page(cast.technician, url)
    fields = {name: page.value(name) for name in ("label", "depth_in", "cover", "in_conduit")}
    send(cast.technician, url, **{**fields, "notes": "under the hedge"})
    yard.a.refresh_from_db()
    assert (yard.a.depth_in, yard.a.in_conduit, yard.a.cover) == (14.0, None, "turf")
    assert yard.a.notes == "under the hedge"


def test_a_length_is_corrected_with_its_reason_in_the_history(cast: Cast, yard: Yard) -> None:
    url = at("faults:leg_correct_length", yard.a)
    page = send(cast.technician, url, length="96", length_source="measured", why="wheeled it")
    assert page.heading == "Leg a, 96 ft"
    assert "was wrong: wheeled it" in page.rows("history")[0][2]


def test_a_length_that_leaves_a_break_outside_is_refused_in_words(
    cast: Cast, ours: Corner, yard: Yard
) -> None:
    ours.fault.breaks.create(leg=yard.a, feet_along=95)
    url = at("faults:leg_correct_length", yard.a)
    page = send(cast.technician, url, length="90", length_source="measured", why="wheeled it")
    assert (page.status, page.value("length")) == (422, "90")
    assert f"break 1 of fault {ours.fault} at 95 ft" in page.errors[0]


def test_a_renewal_is_recorded_and_taken_back(cast: Cast, yard: Yard) -> None:
    url = at("sites:leg_renew", yard.a)
    page = send(cast.technician, url, kind="deeper", on="2025-05-01", depth_in="20")
    assert page.facts("renewals") == {"2025-05-01": "deeper"}
    assert page.facts()["Depth"] == "20 in"
    renewal = yard.a.renewals.get()
    page = send(
        cast.technician, page.links["Take back a renewal"], renewal=renewal.pk, why="other leg"
    )
    assert "None recorded" in page.panel("renewals")
    assert page.facts()["Depth"] == "14 in"


def test_a_leg_is_split_and_the_page_leads_to_its_parts(cast: Cast, yard: Yard) -> None:
    page = split(cast, yard)
    assert "Split on 2025-06-01 at found." in page.words
    assert page.rows("parts") == [["a/1", "0 ft", "40 ft"], ["a/2", "40 ft", "60 ft"]]
    part = open_page(cast.technician, page.links["a/2"])
    assert part.facts()["Split from"] == "a, beginning at 40 ft"


def test_a_place_on_the_old_leg_leads_to_the_part_that_is_there(cast: Cast, yard: Yard) -> None:
    split(cast, yard)
    page = open_page(cast.technician, at("faults:leg", yard.a) + "?feet=75")
    part = yard.a.children.get(label="a/2")
    assert page.response.headers["Location"] == at("faults:leg", part) + "?feet=35"


def test_the_parts_are_joined_again(cast: Cast, yard: Yard) -> None:
    page = split(cast, yard)
    page = send(cast.technician, page.links["Join its parts"], why="no box there")
    assert page.heading == "Leg a, 100 ft"
    assert page.column(0, "wires") == ["COM", "SP1", "W1", "W2"]


def test_a_split_without_a_point_keeps_what_was_typed(cast: Cast, yard: Yard) -> None:
    page = send(
        cast.technician, at("faults:leg_split", yard.a), new_kind="splice box",
        measured_from="second", feet="40", on="2025-06-01",
    )  # fmt: skip
    assert (page.status, page.value("feet")) == (422, "40")
    assert page.errors == ["Name the new point, or choose one: not both."]


def test_a_refused_split_leaves_no_new_point(cast: Cast, yard: Yard) -> None:
    page = send(
        cast.technician, at("faults:leg_split", yard.a), new_name="found", new_kind="splice box",
        measured_from="first", feet="140", on="2025-06-01",
    )  # fmt: skip
    assert page.status == 422
    assert not yard.place.points.filter(name="found").exists()


def test_a_leg_is_retired_only_without_wires(cast: Cast, yard: Yard) -> None:
    page = send(cast.technician, at("sites:leg_retire", yard.a), on="2025-06-01")
    assert page.status == 422
    leg = make.leg(property=yard.place, label="idle")
    page = send(cast.technician, at("sites:leg_retire", leg), on="2025-06-01")
    page = send(cast.technician, page.links["Bring back"])
    assert page.messages == ["idle is back."]


def test_the_strip_in_words_leads_to_legs_points_and_the_wire(cast: Cast, yard: Yard) -> None:
    page = open_page(cast.technician, reverse("reports:station", args=[yard.first.ref]))
    assert page.links["b"] == at("faults:leg", yard.b)
    assert page.links["box"] == reverse("sites:point", args=[yard.box.ref])
    assert page.links["W1"] == reverse("sites:wire", args=[yard.w1.ref])


def test_a_run_of_which_only_the_length_is_known_leads_nowhere(cast: Cast, ours: Corner) -> None:
    page = open_page(cast.technician, reverse("reports:station", args=[ours.on_central.ref]))
    assert "the whole run" in page.words
    assert not [url for url in page.links.values() if url.startswith(("/legs/", "/points/"))]
