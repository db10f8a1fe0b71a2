"""Search finds by any name that people use, among what the user may see."""

import pytest

from faults.models import Assignment, Job
from reports.search.services.everything import SHOWN, find_everything, places_of
from sites.kernel.engines.roles import Role
from sites.models import Contact, Property, Station, User
from tests import make, make_jobs, make_notices
from tests.cast import OURS, THEIRS, Cast, Corner

pytestmark = pytest.mark.django_db


@pytest.fixture
def garden() -> Station:
    """Station A:7 "Rear lawn by gate 2" of Alder Court, with a box, a wire and a fault."""
    place = make.place(code="Alder Court", name="Alder Court business park")
    clock = make.controller(property=place, name="A")
    station = make.station(controller=clock, number=7, name="Rear lawn by gate 2")
    make.station(controller=clock, number=8, name="Shrub bed")
    make.point(property=place, name="A-S1")
    make.wire(property=place, name="A-7 hot", colour="red with white stripe")
    make.fault(station, key="F-0031", summary="Dead from the controller")
    other = make.controller(property=make.place(code="Heronsedge"), name="A")
    make.station(controller=other, number=7, name="Front hedge")
    return station


@pytest.fixture
def owner(db: None) -> User:
    """An owner of everything."""
    return make.user(Role.OWNER)


def found(user: User, text: str) -> dict[str, list[str]]:
    """Return what is found by group, each with where it is."""
    return {
        group.name: [f"{hit.name} @ {hit.where}" for hit in group.hits]
        for group in find_everything(user, text)
    }


@pytest.mark.parametrize("text", ["Alder A:7", "alder court a 7", "aldr cort a 7", "ALDER  a : 7"])
def test_a_station_by_place_controller_and_number(garden: Station, owner: User, text: str) -> None:
    assert found(owner, text) == {"stations": ["A:7 Rear lawn by gate 2 @ Alder Court"]}


def test_a_station_by_controller_and_number_alone_on_every_property(
    garden: Station, owner: User
) -> None:
    assert found(owner, "A:7")["stations"] == [
        "A:7 Rear lawn by gate 2 @ Alder Court",
        "A:7 Front hedge @ Heronsedge",
    ]


@pytest.mark.parametrize("text", ["alder", "Alder Court", "aldr cort", "aldre", "buisness park"])
def test_a_property_by_its_code_or_name(garden: Station, owner: User, text: str) -> None:
    names = [hit.split(" ·")[0] for hit in found(owner, text)["properties"]]
    assert names == ["Alder Court"]


@pytest.mark.parametrize("text", ["rear lawn", "lawn gate", "alder lawn", "rear lwan", "raer lawn"])
def test_a_station_by_its_name(garden: Station, owner: User, text: str) -> None:
    assert found(owner, text)["stations"] == ["A:7 Rear lawn by gate 2 @ Alder Court"]


@pytest.mark.parametrize("text", ["a-s1", "A-S1", "alder a-s1"])
def test_a_point(garden: Station, owner: User, text: str) -> None:
    assert found(owner, text)["points"] == ["A-S1 @ Alder Court"]


@pytest.mark.parametrize("text", ["red white", "a-7 hot", "alder stripe", "white strpie"])
def test_a_wire_by_colour_or_name(garden: Station, owner: User, text: str) -> None:
    assert found(owner, text)["wires"] == ["A-7 hot · red with white stripe @ Alder Court"]


@pytest.mark.parametrize("text", ["F-0031", "f-0031", "dead controller", "ded from the controler"])
def test_a_fault_by_key_or_summary(garden: Station, owner: User, text: str) -> None:
    assert found(owner, text)["faults"] == ["F-0031 · Dead from the controller @ Alder Court"]


@pytest.mark.parametrize("text", ["", "   ", "zzzz", "%", "'; --", "_", "\\", "😀"])
def test_nothing_is_found_by_nothing_and_by_odd_signs(
    garden: Station, owner: User, text: str
) -> None:
    assert found(owner, text) == {}


def test_what_is_right_is_not_mixed_with_what_is_near(garden: Station, owner: User) -> None:
    make.station(controller=garden.controller, number=9, name="Rear lane")
    assert found(owner, "rear lawn")["stations"] == ["A:7 Rear lawn by gate 2 @ Alder Court"]


def test_only_the_first_are_shown_and_it_says_so(owner: User) -> None:
    clock = make.controller()
    for number in range(1, SHOWN + 3):
        make.station(controller=clock, number=number, name=f"Lawn {number}")
    (group,) = find_everything(owner, "lawn")
    assert (len(group.hits), group.has_more) == (SHOWN, True)


def test_retired_things_are_not_found(garden: Station, owner: User) -> None:
    garden.retired_on = make.TODAY
    garden.save()
    assert found(owner, "rear lawn") == {}


@pytest.fixture
def visit(garden: Station) -> Station:
    """The garden's timer, a contact, an open job and a ticket; alike ones at Heronsedge."""
    for place in (garden.controller.property, Property.objects.get(code="Heronsedge")):
        make.device(property=place, name="T-06")
        Contact.objects.create(property=place, name="Quin Quince", phone="555 0134")
        station = place.controllers.get().stations.first()
        assert station is not None
        fault = make.fault(station, key=f"F-7{place.pk}")
        make_jobs.job(fault=fault, notes="bring the long ladder")
        make_notices.notice(fault=fault, ticket="DB-2312", area="east lawn")
    return garden


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("T-06", "timers"),
        ("quince", "contacts"),
        ("0134", "contacts"),
        ("long ladder", "jobs"),
        ("db-2312", "notices"),
        ("ladder lnog", "jobs"),
    ],
)
def test_timers_contacts_jobs_and_notices(
    visit: Station, owner: User, text: str, kind: str
) -> None:
    places = [hit.split(" @ ")[1] for hit in found(owner, text)[kind]]
    assert sorted(places) == ["Alder Court", "Heronsedge"]


@pytest.mark.parametrize("text", ["T-06", "quince", "long ladder", "db-2312", "A:7"])
def test_narrowed_to_one_property(visit: Station, owner: User, text: str) -> None:
    place = visit.controller.property
    groups = find_everything(owner, text, on=place)
    assert {hit.where for group in groups for hit in group.hits} == {"Alder Court"}
    assert {hit.place for group in groups for hit in group.hits} == {place.ref}


def test_names_the_properties_to_narrow_to(visit: Station, owner: User) -> None:
    names = [hit.name for hit in places_of(find_everything(owner, "T-06"))]
    assert names == ["Alder Court", "Heronsedge"]
    here = find_everything(owner, "T-06", on=visit.controller.property)
    assert places_of(here) == []


def test_what_is_over_is_not_found(visit: Station, owner: User) -> None:
    Contact.objects.update(ended_on=make.TODAY)
    Job.objects.update(state="withdrawn", why_withdrawn="no")
    assert found(owner, "quince") == {}
    assert found(owner, "long ladder") == {}


def test_contacts_and_jobs_are_not_for_clients(visit: Station) -> None:
    place = visit.controller.property
    client = make.user(Role.CLIENT, client=place.client)
    assert found(client, "quince") == {}
    assert found(client, "long ladder") == {}
    assert found(client, "db-2312") == {}
    assert found(client, "T-06") == {"timers": ["T-06 @ Alder Court"]}


WORDS = [
    "timer",
    "contact",
    "park",
    "lawn",
    "beds",
    "clock 1",
    "fault",
    "summary",
    "wombat",
    "wombta",
    "marigold",
]


@pytest.mark.parametrize("text", WORDS)
@pytest.mark.parametrize(
    ("person", "never"), [("tracer", THEIRS), ("client_user", THEIRS), ("outsider", OURS),
                          ("stranger", OURS)]
)  # fmt: skip
def test_another_clients_things_are_never_found(
    cast: Cast, text: str, person: str, never: str
) -> None:
    assert never not in str(found(getattr(cast, person), text)).lower()


def test_a_tracer_finds_only_its_own_faults(cast: Cast, ours: Corner) -> None:
    other = make.fault(ours.on_central, key="trench-9")
    assert found(cast.tracer, "trench-9") == {}
    Assignment.objects.create(fault=other, user=cast.tracer, from_on=make.TODAY)
    assert found(cast.tracer, "trench-9") != {}
