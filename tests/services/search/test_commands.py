"""The command search offers pages, things to do, and things, to those who may."""

import pytest
from django.utils.translation import override

from reports.search.services.commands import offers, place_at
from sites.kernel.engines.roles import Role
from sites.models import Property, User
from tests import make
from tests.cast import OURS, THEIRS, Cast, Corner

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(db: None) -> User:
    """An owner of everything."""
    return make.user(Role.OWNER)


@pytest.fixture
def alder(db: None) -> Property:
    """Alder Court, and a property with another name."""
    make.place(code="Heronsedge")
    return make.place(code="Alder Court")


def lines(user: User, text: str, at: Property | None = None) -> dict[str, list[str]]:
    """Return what is offered by heading."""
    return {
        each.title: [f"{option.title} {option.where}".strip() for option in each.options]
        for each in offers(user, text, at=at)
    }


def test_a_page_by_the_beginning_of_its_title(owner: User) -> None:
    assert lines(owner, "crew")["Pages"][:3] == ["Crews", "Crews and days", "Job sheets"]


def test_a_page_by_another_word_and_without_accents(owner: User) -> None:
    assert lines(owner, "evapotr") == {"Pages": ["Climate tables"]}
    with override("es"):
        assert "Tablas de clima" in lines(owner, "evapotranspiracion")["Páginas"]


def test_a_page_by_its_english_word_in_spanish(owner: User) -> None:
    with override("es"):
        assert lines(owner, "hotspots") != {}


def test_a_mistyped_page_where_nothing_else_is_found(owner: User) -> None:
    assert lines(owner, "hotspost") == {"Pages": ["Hotspots"]}


def test_what_can_be_done(owner: User) -> None:
    assert "Report a fault" in lines(owner, "report")["Do"]


def test_what_can_be_done_on_a_named_property(owner: User, alder: Property) -> None:
    for text in ("fit stopgap alder", "alder fit stopgap", "fit stopgap aldr"):
        (option,) = offers(owner, text)[0].options
        assert (option.title, option.where) == ("Fit a stopgap", "Alder Court")
        assert option.url == f"/properties/{alder.ref}/stopgaps/fit/"


def test_what_can_be_done_on_the_open_property_without_naming_it(
    owner: User, alder: Property
) -> None:
    assert lines(owner, "fit stop", at=alder)["Here: Alder Court"] == ["Fit a stopgap"]
    assert "Fit a stopgap" in lines(owner, "", at=alder)["Here: Alder Court"]


def test_the_page_says_which_property_it_is_about(owner: User, alder: Property) -> None:
    station = make.station(controller=make.controller(property=alder))
    for path in (
        f"/properties/{alder.ref}/",
        f"/properties/{alder.ref}/contacts/",
        f"/stations/{station.ref}/",
        f"/controllers/{station.controller.ref}/",
    ):
        assert place_at(owner, path) == alder
    assert place_at(owner, "/properties/") is None
    assert place_at(owner, "/nowhere/at/all/") is None
    assert place_at(owner, "") is None


def test_things_come_with_their_pages(owner: User, alder: Property) -> None:
    station = make.station(
        controller=make.controller(property=alder, name="A"), number=7, name="Rear lawn"
    )
    found = [option.url for each in offers(owner, "rear lawn") for option in each.options]
    assert found == [f"/stations/{station.ref}/"]


def test_only_what_one_may_do_is_offered(cast: Cast, ours: Corner) -> None:
    place = ours.property
    assert "Fit a stopgap" in str(lines(cast.technician, "", at=place))
    assert "Fit a stopgap" not in str(lines(cast.client_user, "", at=place))
    assert "Health" in str(lines(cast.owner, ""))
    assert "Health" not in str(lines(cast.dispatcher, ""))
    assert "Health" not in str(lines(cast.dispatcher, "health"))


def test_another_clients_property_is_never_offered(cast: Cast, ours: Corner) -> None:
    path = f"/properties/{ours.property.ref}/"
    assert place_at(cast.outsider, path) is None
    assert place_at(cast.stranger, path) is None
    assert OURS not in str(lines(cast.outsider, f"report {OURS}")).lower()
    assert THEIRS not in str(lines(cast.client_user, f"report {THEIRS}")).lower()
    assert OURS in str(lines(cast.client_user, f"report {OURS}")).lower()


def test_a_retired_property_is_no_place_to_act_on(owner: User, alder: Property) -> None:
    alder.retired_on = make.TODAY
    alder.save()
    assert place_at(owner, f"/properties/{alder.ref}/") is None
    assert lines(owner, "fit stopgap alder") == {}
