"""Pages on which a fault is reported, by us and by a client, and corrected."""

from typing import Any

import pytest
from django.urls import reverse

from faults.models import Fault, Reading
from tests.cast import Cast, Corner
from tests.web.fault_scene import TODAY
from tests.web.pages import open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def report_url(ours: Corner) -> str:
    """The page on which a fault of our property is reported."""
    return reverse("faults:report_on_property", args=[ours.property.ref])


def told(**given: Any) -> dict[str, Any]:
    """What a dispatcher fills in at least."""
    usual = {
        "stations": "marigold clock:2",
        "symptom": "not known",
        "opens_by_hand": "not tried",
        "others_run": "not tried",
        "reported_on": TODAY,
    }
    return {**usual, **given}


def newest() -> Fault:
    """The fault that was kept last."""
    return Fault.objects.latest("pk")


def test_a_report_opens_the_faults_page(cast: Cast, ours: Corner) -> None:
    sheet = send(cast.dispatcher, report_url(ours), **told(summary="dead since Monday"))
    assert sheet.messages == [f"Fault {newest()} is reported."]
    assert sheet.heading == f"{newest()}: not known, one station"


def test_the_other_station_is_named_as_people_name_it(cast: Cast, ours: Corner) -> None:
    with_it = told(symptom="runs with another", runs_with="1")
    wrong = send(cast.dispatcher, report_url(ours), **{**with_it, "runs_with": "1, 2"})
    assert (wrong.status, wrong.errors) == (422, ["Name one station: the one that is called."])
    wrong = send(cast.dispatcher, report_url(ours), **{**with_it, "runs_with": "rose arch"})
    assert (wrong.status, wrong.errors[0][-24:]) == (422, "ler:number, such as B:7.")
    sheet = send(cast.dispatcher, report_url(ours), **with_it)
    assert newest().runs_with == ours.off_central
    assert sheet.heading == f"{newest()}: runs with another (marigold clock:1), one station"
    url = reverse("faults:correct", args=[newest().ref])
    assert open_page(cast.dispatcher, url).value("runs_with") == "marigold clock:1"


def test_promised_times_are_asked_shown_and_corrected(cast: Cast, ours: Corner) -> None:
    hours = {"promised_on": TODAY, "promised_from": "08:00", "promised_until": "10:30"}
    wrong = send(cast.dispatcher, report_url(ours), **told(**{**hours, "promised_until": "07:00"}))
    assert (wrong.status, wrong.value("promised_from")) == (422, "08:00")
    send(cast.dispatcher, report_url(ours), **told(**hours))
    url = reverse("faults:fault", args=[newest().ref])
    assert "08:00–10:30" in open_page(cast.dispatcher, url).words
    url = reverse("faults:correct", args=[newest().ref])
    assert open_page(cast.dispatcher, url).value("promised_until") == "10:30"


def test_what_stays_on_is_cautioned_for_all_who_see_it(cast: Cast, ours: Corner) -> None:
    send(cast.dispatcher, report_url(ours), **told(symptom="stays on"))
    url = reverse("faults:fault", args=[newest().ref])
    for user in (cast.dispatcher, cast.client_user):
        assert "cannot be stopped from the controller" in open_page(user, url).words
    Fault.objects.update(stage="mended")
    assert "cannot be stopped" not in open_page(cast.dispatcher, url).words


def test_the_form_starts_on_the_stations_with_todays_day(cast: Cast, ours: Corner) -> None:
    sheet = open_page(cast.dispatcher, report_url(ours))
    (stations,) = sheet.tree.find("input", name="stations")
    assert "autofocus" in stations.attributes
    assert sheet.value("reported_on") == TODAY
    options = [each.attributes["value"] for each in sheet.tree.find("option")]
    assert "marigold clock:2 marigold beds" in options


def test_from_a_station_it_is_filled_in(cast: Cast, ours: Corner) -> None:
    url = reverse("faults:report_on_station", args=[ours.on_central.ref])
    assert open_page(cast.dispatcher, url).value("stations") == "marigold clock:2"


def test_from_the_list_the_property_is_typed_too(cast: Cast, ours: Corner) -> None:
    url = reverse("faults:report")
    assert open_page(cast.dispatcher, reverse("faults:faults")).links["Report a fault"] == url
    sheet = send(cast.dispatcher, url, **told(place="MARIGOLD-park"))
    assert sheet.messages == [f"Fault {newest()} is reported."]
    assert newest().property == ours.property


def test_a_property_that_nobody_knows_is_asked_again(cast: Cast) -> None:
    sheet = send(cast.dispatcher, reverse("faults:report"), **told(place="nowhere"))
    assert (sheet.status, sheet.errors[0][:11]) == (422, "No property")


def test_a_second_report_links_to_the_first_and_keeps_what_was_typed(
    cast: Cast, ours: Corner
) -> None:
    fields = told(stations="marigold clock:1", summary="the caller was cross")
    sheet = send(cast.dispatcher, report_url(ours), **fields)
    assert sheet.status == 422
    assert "has an open fault already" in sheet.errors[0]
    assert sheet.links[str(ours.fault)] == reverse("faults:fault", args=[ours.fault.ref])
    assert "the caller was cross" in sheet.html


def test_ohms_on_the_phone_become_a_reading(cast: Cast, ours: Corner) -> None:
    send(cast.dispatcher, report_url(ours), **told(ohms="31.5"))
    assert Reading.objects.get(value=31.5).station == ours.on_central


def test_a_client_reports_in_plain_words(cast: Cast, ours: Corner) -> None:
    sheet = open_page(cast.client_user, report_url(ours))
    assert "What do you see?" in sheet.words
    assert "hand" not in sheet.words
    sheet = send(
        cast.client_user,
        reverse("faults:report"),
        stations="marigold beds",
        summary="the beds are dry",
        reported_on=TODAY,
    )
    assert sheet.messages == [f"Fault {newest()} is reported."]
    assert newest().summary == "the beds are dry"


def test_a_client_reports_on_its_own_properties_only(cast: Cast, theirs: Corner) -> None:
    fields = told(place=theirs.property.code, stations="wombat clock:2", summary="dry")
    count = Fault.objects.count()
    send(cast.client_user, reverse("faults:report"), **fields)
    assert send(cast.client_user, report_url(theirs), **fields).status == 404
    assert Fault.objects.count() == count


def test_a_tracer_does_not_report(cast: Cast, ours: Corner) -> None:
    assert open_page(cast.tracer, report_url(ours)).status == 403


def test_a_valve_that_does_not_open_is_told_in_words(cast: Cast, ours: Corner) -> None:
    sheet = send(cast.dispatcher, report_url(ours), **told(opens_by_hand="no"))
    assert "Not the wire: valve or water." in sheet.panel("known")
    assert "the cause lies outside it" in sheet.panel("breaks")


def test_a_report_is_corrected_with_a_reason(cast: Cast, ours: Corner) -> None:
    url = reverse("faults:correct", args=[ours.fault.ref])
    fields = told(reported_on="2025-05-01", opens_by_hand="no", why="the caller rang back")
    assert send(cast.technician, url, **fields).messages
    assert open_page(cast.client_user, url).status == 403
