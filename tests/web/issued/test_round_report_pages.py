"""A round's report on pages: two clicks from the round, read by those whose properties it is."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
import time_machine

from faults.models import Round, WalkNote
from reports.models import Audience, Draft, Report, ReportKind
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import as_one_change
from sites.models import Client, Property, Run, User
from sites.runs.services import execute_run
from tests import make, make_reports, make_rounds
from tests.services.rounds.scene import TODAY, seen
from tests.web.pages import open_page, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _in_november() -> Iterator[None]:
    """It is the day of `make_reports.AT`."""
    with time_machine.travel(make_reports.AT, tick=False):
        yield


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER, first_name="Olive", last_name="Owner")


@pytest.fixture
def places(db: None) -> list[Property]:
    """Two properties of a client and one of another, a station each."""
    ours = make.client(name="Marigold Parks")
    found = [make.place(code=code, client=ours) for code in ("ELM", "FIG")]
    found.append(make.place(code="WOMBAT", client=make.client(name="Wombat Estates")))
    for place in found:
        make.station(controller=make.controller(property=place, name="A"), number=1)
    return found


@pytest.fixture
def walk(places: list[Property], owner: User) -> Round:
    the_round = make_rounds.round_over(*places, by=owner)
    for visit in make_rounds.planned(the_round):
        seen(visit.property.controllers.get().stations.get())
    return the_round


def theirs(places: list[Property]) -> Client:
    client = places[0].client
    assert client is not None
    return client


def issued(walk: Round, owner: User, place: Property | None = None, **given: Any) -> Report:
    about = {"kind": ReportKind.ROUND.value, "round": walk}
    days = {"from_on": TODAY, "until_on": TODAY}
    return make_reports.issued(place, owner, **about, **days, **given)


def as_offered(form: Any) -> dict[str, Any]:
    """What the form sends when nobody changes it."""
    first = {name: form.get_initial_for_field(field, name) for name, field in form.fields.items()}
    return {name: value for name, value in first.items() if value is not None}


def test_two_clicks_lead_from_the_round_to_the_draft(
    walk: Round, places: list[Property], owner: User
) -> None:
    round_page = open_page(owner, f"/rounds/{walk.ref}/")
    address = round_page.links["Report on what was done"]
    client = signed_in(owner)
    page = client.get(address)
    form = page.context["form"]
    assert "What was done on the round: The walk" in page.content.decode()
    first = as_offered(form)
    assert first["from_on"] == TODAY
    # Two clients' properties: one of them has to be meant, and the first is offered.
    assert first["whose"] == places[0].ref
    names = [label for _value, label in form.fields["whose"].choices]
    assert names[:2] == ["Marigold Parks", "Wombat Estates"]
    assert names[-1] == "all, for ourselves"
    answer = client.post(address, first | {"whose": f"client-{theirs(places).pk}"})
    execute_run(Run.objects.order_by("-pk")[0].pk)
    words = client.get(answer.url, follow=True).content.decode()
    assert "Round done: The walk" in words
    assert "ELM" in words
    assert "WOMBAT" not in words
    assert Draft.objects.get().client == theirs(places)


def test_of_one_client_all_its_properties_are_meant(owner: User, places: list[Property]) -> None:
    alone = make_rounds.round_over(*places[:2], by=owner, name="Alone")
    form = signed_in(owner).get(f"/rounds/{alone.ref}/report/").context["form"]
    assert form.initial["whose"] == f"client-{theirs(places).pk}"
    assert form.initial["from_on"] == TODAY
    values = [value for value, _label in form.fields["whose"].choices]
    assert values == [f"client-{theirs(places).pk}", places[0].ref, places[1].ref]


def test_all_of_a_round_is_nothing_for_a_client(walk: Round, owner: User) -> None:
    client = signed_in(owner)
    address = f"/rounds/{walk.ref}/report/"
    first = as_offered(client.get(address).context["form"])
    refused = client.post(address, first | {"whose": "all"})
    assert refused.status_code == 422
    assert "For a client choose its properties" in refused.content.decode()
    taken = client.post(address, first | {"whose": "all", "audience": Audience.US.value})
    assert taken.status_code == 302


def test_who_reports_on_one_property_is_offered_that_one(
    walk: Round, places: list[Property]
) -> None:
    limited = make.user(Role.DISPATCHER, property=places[1])
    form = signed_in(limited).get(f"/rounds/{walk.ref}/report/").context["form"]
    assert [value for value, _label in form.fields["whose"].choices] == [places[1].ref]
    elsewhere = make.user(Role.DISPATCHER, property=make.place())
    assert open_page(elsewhere, f"/rounds/{walk.ref}/report/").status == 404
    technician = make.user(Role.TECHNICIAN)
    assert open_page(technician, f"/rounds/{walk.ref}/report/").status == 403
    assert "Report on what was done" not in open_page(technician, f"/rounds/{walk.ref}/").links


@pytest.mark.parametrize(
    ("about", "seen_by"),
    [
        ("client", {"office", "theirs"}),
        ("property", {"office", "theirs", "one property", "office there"}),
        ("all", {"office"}),
    ],
)
def test_who_reads_it(
    walk: Round, places: list[Property], owner: User, about: str, seen_by: set[str]
) -> None:
    if about == "property":
        report = issued(walk, owner, places[0])
    elif about == "client":
        report = issued(walk, owner, client=theirs(places))
    else:
        report = issued(walk, owner, audience=Audience.US.value)
    people = {
        "office": make.user(Role.DISPATCHER),
        "office there": make.user(Role.DISPATCHER, property=places[0]),
        "theirs": make.user(Role.CLIENT, client=theirs(places)),
        "one property": make.user(Role.CLIENT, property=places[0]),
        "another": make.user(Role.CLIENT, client=places[2].client),
        "elsewhere": make.user(Role.CLIENT, property=places[1]),
    }
    sees = {
        name
        for name, user in people.items()
        if open_page(user, f"/reports/{report.ref}/").status == 200
    }
    assert sees == seen_by


def test_a_new_version_is_asked_for_on_the_rounds_page(
    walk: Round, places: list[Property], owner: User
) -> None:
    report = issued(walk, owner, client=theirs(places))
    address = open_page(owner, f"/reports/{report.ref}/").links["A new version"]
    assert address == f"/rounds/{walk.ref}/report/?again={report.ref}"
    form = signed_in(owner).get(address).context["form"]
    assert (form.initial["whose"], form.initial["until_on"]) == (
        f"client-{theirs(places).pk}",
        TODAY,
    )
    other = make_rounds.round_over(places[0], by=owner, name="Another")
    wrong = f"/rounds/{other.ref}/report/?again={report.ref}"
    assert signed_in(owner).get(wrong).status_code == 404


def test_a_record_that_was_wrong_marks_it(walk: Round, places: list[Property], owner: User) -> None:
    report = issued(walk, owner, places[0])
    assert "changed" not in open_page(owner, f"/reports/{report.ref}/").panels
    with as_one_change():
        note = WalkNote.objects.get(station__controller__property=places[0])
        note.seen_on = TODAY + timedelta(days=1)
        note.save()
    assert "changed" in open_page(owner, f"/reports/{report.ref}/").panels
