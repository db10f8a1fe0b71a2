"""Pages of the verbs on stations, and of retiring."""

from datetime import date
from typing import Any

import pytest
from django.urls import reverse

from sites.models import Schedule, StationFacts
from tests import make
from tests.cast import Cast, Corner
from tests.web.pages import open_page, send

pytestmark = pytest.mark.django_db


def at(name: str, corner: Corner) -> str:
    """Return the address of a page about our station that is on central."""
    return reverse(f"sites:{name}", args=[corner.on_central.ref])


def test_a_stations_own_facts_change(cast: Cast, ours: Corner) -> None:
    master = make.station(controller=ours.controller, number=9, kind="master valve")
    fields = {"name": "beds", "kind": "valve", "depends_on": master.pk, "coil_ohms": "24.5"}
    fields["second_coil_ohms"] = "30"
    page = send(cast.dispatcher, at("station_edit", ours), **fields)
    assert page.facts()["Depends on"] == "marigold clock:9"
    assert page.facts()["Coil"] == "24.5 Ω"
    assert page.facts()["Second coil on the same wire"] == "30 Ω"
    assert (
        "Second coil on the same wire"
        not in send(
            cast.dispatcher, at("station_edit", ours), kind="valve", coil_ohms="24.5"
        ).facts()
    )


def test_a_plain_valve_is_not_offered_to_depend_on(cast: Cast, ours: Corner) -> None:
    fields = {"kind": "valve", "depends_on": ours.off_central.pk}
    assert send(cast.dispatcher, at("station_edit", ours), **fields).status == 422


def test_what_was_not_touched_keeps_the_stored_value_in_metric(cast: Cast, ours: Corner) -> None:
    ours.property.units = "metric"
    ours.property.save()
    page = open_page(cast.dispatcher, at("station_edit", ours))
    typed = page.value("run_length_ft")
    send(cast.dispatcher, at("station_edit", ours), kind="valve", run_length_ft=typed)
    ours.on_central.refresh_from_db()
    assert (typed, ours.on_central.run_length_ft) == ("121.92", 400.0)
    send(cast.dispatcher, at("station_edit", ours), kind="valve", run_length_ft="100")
    ours.on_central.refresh_from_db()
    assert ours.on_central.run_length_ft == pytest.approx(328.08, abs=0.01)


def test_facts_change_from_a_day_and_the_change_is_taken_back(cast: Cast, ours: Corner) -> None:
    StationFacts.objects.create(station=ours.on_central, area_sqft=900.0)
    url = at("station_facts", ours)
    send(cast.dispatcher, url, what="changed", on="2025-03-01", area_sqft="700")
    page = open_page(cast.dispatcher, url)
    assert page.column(0, "recorded") == ["2025-03-01 – now", "ever – 2025-03-01"]
    assert page.column(1, "recorded") == ["700 sq ft", "900 sq ft"]
    send(cast.dispatcher, page.links["Take the latest change back"], why="not done")
    assert open_page(cast.dispatcher, url).column(0, "recorded") == ["ever – now"]


def test_facts_of_earlier_days_are_put_right(cast: Cast, ours: Corner) -> None:
    old = StationFacts.objects.create(
        station=ours.on_central, area_sqft=900.0, to_on=date(2025, 3, 1)
    )
    StationFacts.objects.create(station=ours.on_central, area_sqft=700.0, from_on=date(2025, 3, 1))
    url = f"{at('station_facts', ours)}?row={old.pk}"
    assert open_page(cast.dispatcher, url).value("area_sqft") == "900"
    send(cast.dispatcher, url, what="wrong", why="measured", area_sqft="950")
    old.refresh_from_db()
    assert old.area_sqft == 950.0
    assert send(cast.dispatcher, url, what="changed", on="2025-04-01").status == 422


def test_the_first_facts_may_hold_as_far_back_as_known(cast: Cast, ours: Corner) -> None:
    page = send(cast.dispatcher, at("station_facts", ours), what="wrong", flow_gpm="12")
    assert page.status == 200
    assert ours.on_central.facts.get().from_on is None


def test_facts_of_another_station_are_not_found(cast: Cast, ours: Corner) -> None:
    row = StationFacts.objects.create(station=ours.off_central, area_sqft=1.0)
    assert open_page(cast.dispatcher, f"{at('station_facts', ours)}?row={row.pk}").status == 404


@pytest.mark.parametrize(
    "fields", [{"what": "changed", "on": ""}, {"what": "wrong", "why": ""}, {"what": ""}]
)
def test_facts_without_a_day_or_a_word_keep_what_was_typed(
    cast: Cast, ours: Corner, fields: dict[str, str]
) -> None:
    StationFacts.objects.create(station=ours.on_central, area_sqft=900.0)
    page = send(cast.dispatcher, at("station_facts", ours), area_sqft="700", **fields)
    assert (page.status, page.value("area_sqft")) == (422, "700")


def schedule(corner: Corner, **given: Any) -> Schedule:
    """Make a schedule of our station that is on central."""
    return Schedule.objects.create(
        station=corner.on_central, from_on=date(2025, 1, 1), minutes=10, **given
    )


def test_a_schedule_is_added_and_changed(cast: Cast, ours: Corner) -> None:
    url = at("station_schedule", ours)
    fields = {"days": "monday, wed", "starts": "4:30", "minutes": "20", "run_by": "central"}
    send(cast.dispatcher, url, what="changed", on="2025-03-01", **fields)
    row = ours.on_central.schedules.get()
    assert (row.days, row.starts) == ("Mon Wed", "04:30")
    send(cast.dispatcher, url, what="changed", on="2025-04-01", **{**fields, "minutes": "25"})
    assert open_page(cast.dispatcher, url).column(0, "recorded") == [
        "2025-04-01 – now",
        "2025-03-01 – 2025-04-01",
    ]


def test_another_schedule_runs_beside_it(cast: Cast, ours: Corner) -> None:
    schedule(ours)
    url = f"{at('station_schedule', ours)}?row=new"
    send(cast.dispatcher, url, what="changed", on="2025-03-01", minutes="5")
    assert ours.on_central.schedules.open().count() == 2


def test_a_schedule_ends_goes_on_and_is_taken_back(cast: Cast, ours: Corner) -> None:
    row = schedule(ours)
    send(cast.dispatcher, at("station_schedule", ours), what="ended", on="2025-05-01", minutes=10)
    row.refresh_from_db()
    assert row.to_on == date(2025, 5, 1)
    back = f"{at('station_schedule_back', ours)}?row={row.pk}"
    send(cast.dispatcher, back, why="it runs")
    row.refresh_from_db()
    assert row.to_on is None
    send(cast.dispatcher, back, why="never ran")
    assert open_page(cast.dispatcher, at("station_schedule", ours)).rows("recorded") == []


@pytest.mark.parametrize(("field", "text"), [("days", "Caturday"), ("starts", "half past")])
def test_days_and_times_are_read_as_in_files(
    cast: Cast, ours: Corner, field: str, text: str
) -> None:
    fields = {"what": "changed", "on": "2025-03-01", "minutes": "5", field: text}
    page = send(cast.dispatcher, at("station_schedule", ours), **fields)
    assert (page.status, page.value(field)) == (422, text)


def test_a_station_is_retired_and_brought_back(cast: Cast, ours: Corner) -> None:
    page = send(cast.dispatcher, at("station_retire", ours), on="2025-03-01", why="paved over")
    assert "Retired on 2025-03-01." in page.words
    assert "Bring this station back" in page.links
    page = send(cast.dispatcher, at("station_retire", ours), why="not paved")
    assert page.messages == ["Back in care. Its days off central control are counted again."]


def test_retiring_is_refused_while_a_fault_is_open(cast: Cast, ours: Corner) -> None:
    url = reverse("sites:controller_retire", args=[ours.controller.ref])
    page = send(cast.dispatcher, url, on="2025-06-01", why="gone")
    assert page.status == 422
    assert "marigold-fault" in page.errors[0]
    assert page.value("why") == "gone"


def test_retiring_says_how_many_stopgaps_still_stand(cast: Cast, ours: Corner) -> None:
    url = reverse("sites:property_retire", args=[ours.property.ref])
    assert "One stopgap still stands there" in open_page(cast.owner, url).words


def test_what_is_retired_can_be_found_again(cast: Cast, ours: Corner) -> None:
    gone = make.place(client=ours.property.client, code="GONE", retired_on=date(2024, 1, 1))
    ours.on_central.retired_on = date(2024, 1, 1)
    ours.on_central.save()
    assert "GONE" in open_page(cast.owner, reverse("sites:retired_properties")).links
    url = reverse("sites:property_retired", args=[ours.property.ref])
    assert "marigold clock:2 marigold beds" in open_page(cast.owner, url).links
    page = open_page(cast.owner, reverse("reports:property", args=[gone.ref]))
    assert "Bring this property back" in page.links


@pytest.mark.parametrize("name", ["station_edit", "station_facts", "station_retire"])
def test_a_technician_may_not_and_a_stranger_finds_nothing(
    cast: Cast, ours: Corner, name: str
) -> None:
    assert open_page(cast.technician, at(name, ours)).status == 403
    theirs_manager = make.user(username="willa")
    assert open_page(theirs_manager, at(name, ours)).status == 403


def test_a_dispatcher_of_another_client_finds_nothing(ours: Corner, theirs: Corner) -> None:
    from sites.kernel.engines.roles import Role

    other = make.user(Role.DISPATCHER, client=theirs.property.client)
    for name in ("station_edit", "station_facts", "station_schedule", "station_retire"):
        assert open_page(other, at(name, ours)).status == 404
