"""Pages of the verbs on stopgaps and devices."""

from typing import Any

import pytest
from django.urls import reverse

from sites.models import Stopgap
from tests import make
from tests.cast import Cast, Corner
from tests.web.pages import open_page, send, signed_in

pytestmark = pytest.mark.django_db


def fit_url(corner: Corner) -> str:
    """Return where a stopgap is fitted."""
    return reverse("sites:stopgap_fit", args=[corner.property.ref])


def at(name: str, row: Any) -> str:
    """Return the address of a page about a row."""
    return reverse(f"sites:{name}", args=[row.ref])


FITTED = {"kind": "battery timer", "fitted": "2025-03-01", "reason": "wire"}


def test_a_technician_fits_one_device_on_two_valves(cast: Cast, ours: Corner) -> None:
    third = make.station(controller=ours.controller, number=3)
    page = send(
        cast.technician,
        fit_url(ours),
        stations="marigold clock:2-3",
        new_device="T-9",
        **FITTED,
    )
    assert page.messages == ["Fitted on 2 stations."]
    assert third.stopgaps.get().device == ours.on_central.stopgaps.get().device


def test_the_only_controller_need_not_be_named(cast: Cast, ours: Corner) -> None:
    send(cast.technician, fit_url(ours), stations="2", **FITTED)
    assert ours.on_central.stopgaps.count() == 1


def test_a_year_will_do(cast: Cast, ours: Corner) -> None:
    send(cast.technician, fit_url(ours), stations="2", **{**FITTED, "fitted": "2021"})
    assert ours.on_central.stopgaps.get().counted_from.isoformat() == "2021-12-31"


@pytest.mark.parametrize(
    ("stations", "said"),
    [
        ("marigold clock:77", "Not found here: marigold clock:77"),
        ("wombat clock:1", "Not found here: wombat clock:1"),
        ("lawn", "names no station"),
    ],
)
def test_stations_that_are_not_found_are_named(
    cast: Cast, ours: Corner, theirs: Corner, stations: str, said: str
) -> None:
    page = send(cast.technician, fit_url(ours), stations=stations, **FITTED)
    assert page.status == 422
    assert said in page.errors[0]


@pytest.mark.parametrize("text", ["03/04/2025", "soon"])
def test_a_day_that_cannot_be_read_is_asked_for(cast: Cast, ours: Corner, text: str) -> None:
    page = send(cast.technician, fit_url(ours), stations="2", **{**FITTED, "fitted": text})
    assert (page.status, page.value("fitted")) == (422, text)


def test_a_stopgap_that_stands_there_keeps_what_was_typed(cast: Cast, ours: Corner) -> None:
    page = send(cast.technician, fit_url(ours), stations="1", new_device="T-9", **FITTED)
    assert page.status == 422
    assert "still there" in page.errors[0]
    assert page.value("new_device") == "T-9"


def test_fitted_instead_ends_the_one_that_stands_there(cast: Cast, ours: Corner) -> None:
    page = send(cast.technician, fit_url(ours), stations="1", instead="on", **FITTED)
    assert page.messages == ["Fitted on one station."]
    assert Stopgap.objects.filter(station=ours.off_central, removed_on=None).count() == 1


def test_a_surface_wire_without_the_clients_day_unfolds_the_field(cast: Cast, ours: Corner) -> None:
    fields = {**FITTED, "kind": "surface wire"}
    page = send(cast.technician, fit_url(ours), stations="2", **fields)
    assert page.status == 422
    assert "open" in page.tree.find("details")[0].attributes


def test_a_stopgap_ends_reopens_and_is_put_right(cast: Cast, ours: Corner) -> None:
    one = ours.off_central.stopgaps.get()
    send(cast.technician, at("stopgap_end", one), on="2025-06-01", why="mended")
    one.refresh_from_db()
    assert one.end_reason == "mended"
    send(cast.technician, at("stopgap_reopen", one), why="it stands")
    one.refresh_from_db()
    assert one.removed_on is None
    page = send(
        cast.technician,
        at("stopgap_correct", one),
        why="misread",
        kind="shut off",
        fitted="2025-02",
        reason="wire",
    )
    assert page.messages == ["Put right. The old values stay in the history."]
    assert "was wrong: misread" in page.panel("history")


def test_a_correction_opens_with_what_is_recorded(cast: Cast, ours: Corner) -> None:
    one = make.stopgap(
        station=ours.on_central, fitted_earliest="2021-01-01", fitted_latest="2021-12-31"
    )
    page = open_page(cast.technician, at("stopgap_correct", one))
    assert (page.value("fitted"), page.value("kind")) == ("2021", "battery timer")


def test_ending_offers_the_other_valves_of_the_device(cast: Cast, ours: Corner) -> None:
    one = ours.off_central.stopgaps.get()
    other = make.stopgap(station=ours.on_central, device=one.device)
    send(cast.technician, at("stopgap_end", one), on="2025-06-01", why="mended", also=[other.pk])
    other.refresh_from_db()
    assert other.end_reason == "mended"


def test_disabled_in_central_is_noted_later(cast: Cast, ours: Corner) -> None:
    one = ours.off_central.stopgaps.get()
    page = send(cast.technician, at("stopgap_note", one), disabled_in_central_on="2025-03-04")
    assert page.facts()["Disabled in central"] == "2025-03-04"


def test_two_people_do_not_overwrite_each_other(cast: Cast, ours: Corner) -> None:
    one = ours.off_central.stopgaps.get()
    url = at("stopgap_note", one)
    stamp = open_page(cast.technician, url).value("stamp")
    send(cast.dispatcher, url, notes="called the client")
    page = send(cast.technician, url, notes="mine", stamp=stamp)
    assert page.status == 422
    assert "Somebody changed this" in page.words
    assert "mine" in page.html


def test_a_battery_set_is_changed_for_all_valves(cast: Cast, ours: Corner) -> None:
    timer = ours.off_central.stopgaps.get().device
    page = send(
        cast.technician,
        at("device_battery", timer),
        what="changed",
        on="2025-05-01",
        kind="9 V",
    )
    assert page.heading == "marigold timer"
    assert page.rows("batteries")[0][:2] == ["2025-05-01", "9 V"]
    wrong = send(cast.technician, at("device_battery", timer), what="wrong", on="", why="typo")
    assert wrong.rows("batteries")[0][0] == "not known"


def test_a_new_battery_set_has_its_day(cast: Cast, ours: Corner) -> None:
    timer = ours.off_central.stopgaps.get().device
    page = send(cast.technician, at("device_battery", timer), what="changed", on="", kind="9 V")
    assert (page.status, page.value("kind")) == (422, "9 V")


@pytest.mark.parametrize("name", ["stopgap_end", "stopgap_reopen", "stopgap_correct"])
def test_a_stranger_finds_nothing_and_a_client_may_not(
    cast: Cast, ours: Corner, theirs: Corner, name: str
) -> None:
    assert open_page(cast.client_user, at(name, ours.off_central.stopgaps.get())).status == 403
    assert open_page(cast.outsider, at("stopgap", ours.off_central.stopgaps.get())).status == 404


def test_verbs_are_offered_to_those_who_may(cast: Cast, ours: Corner) -> None:
    url = at("stopgap", ours.off_central.stopgaps.get())
    assert "End it" in open_page(cast.technician, url).links
    assert "End it" not in open_page(cast.client_user, url).links
    station = reverse("reports:station", args=[ours.off_central.ref])
    assert "Fit a stopgap" in open_page(cast.technician, station).links
    assert "Fit a stopgap" not in open_page(cast.client_user, station).links


@pytest.mark.parametrize("valves", [3, 30])
def test_a_device_page_asks_as_often_for_many_valves(
    cast: Cast, ours: Corner, django_assert_num_queries: Any, valves: int
) -> None:
    timer = ours.off_central.stopgaps.get().device
    for number in range(100, 100 + valves):
        station = make.station(controller=ours.controller, number=number)
        make.stopgap(station=station, device=timer)
    browser = signed_in(cast.technician)
    # session, user, grants, device, stopgaps, history of batteries, photos
    with django_assert_num_queries(7):
        browser.get(at("device", timer))


def behind_a_main(ours: Corner) -> Any:
    """Let the station that is off central depend on a master valve."""
    main = make.station(controller=ours.controller, number=90, kind="master valve")
    ours.off_central.depends_on = main
    ours.off_central.save()
    return main


def test_fitting_a_timer_asks_how_its_master_valve_opens(cast: Cast, ours: Corner) -> None:
    main = behind_a_main(ours)
    third = make.station(controller=ours.controller, number=3, depends_on=main)
    page = open_page(cast.technician, fit_url(ours))
    assert "Its master valve or pump then" in page.words
    send(cast.technician, fit_url(ours), stations="3", main_valve="same minutes", **FITTED)
    assert third.stopgaps.get().main_valve == "same minutes"
    shown = open_page(cast.technician, at("stopgap", third.stopgaps.get()))
    assert "it opens in the same minutes" in shown.words


def test_how_it_opens_is_said_for_all_behind_it_at_once(cast: Cast, ours: Corner) -> None:
    main = behind_a_main(ours)
    third = make.station(controller=ours.controller, number=3, depends_on=main)
    other = make.stopgap(station=third)
    shut = make.stopgap(
        station=make.station(controller=ours.controller, number=4, depends_on=main),
        kind="shut off",
    )
    url = at("station_main_valve", ours.off_central)
    page = open_page(cast.technician, url)
    assert "marigold clock:3, battery timer" in page.words
    assert "marigold clock:4" not in page.words
    own = ours.off_central.stopgaps.get()
    send(cast.technician, url, main_valve="held open", stopgaps=[own.pk], also=[other.pk])
    for gap, said in ((own, "held open"), (other, "held open"), (shut, "")):
        gap.refresh_from_db()
        assert gap.main_valve == said
    again = open_page(cast.technician, url)
    assert "marigold clock:3" not in again.words
    assert send(cast.technician, url, main_valve="removed").status == 422


def test_a_station_without_a_main_leads_back_to_itself(cast: Cast, ours: Corner) -> None:
    answer = signed_in(cast.technician).get(at("station_main_valve", ours.off_central))
    assert answer.headers["Location"] == f"/stations/{ours.off_central.ref}/"


def test_a_station_that_nothing_runs_instead_of_central_has_no_answer_to_give(
    cast: Cast, ours: Corner
) -> None:
    behind_a_main(ours)
    ours.off_central.stopgaps.update(kind="shut off")
    answer = signed_in(cast.technician).get(at("station_main_valve", ours.off_central))
    assert answer.headers["Location"] == f"/stations/{ours.off_central.ref}/"
