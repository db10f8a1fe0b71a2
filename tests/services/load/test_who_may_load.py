"""Nobody loads what is not theirs, nor learns what exists."""

import pytest

from sites.kernel.engines.roles import Role
from sites.models import Property, Station
from tests import make
from tests.services.load import base, check, counts, load, sheet, told, words

pytestmark = pytest.mark.django_db

NEW = "property code,property,client\nOak,Oak park,Oak Trust\n"
STATIONS = "property code,controller,station number,station name\nElm,A,1,Mine\n"


@pytest.fixture
def elm() -> Property:
    load(*base())
    return Property.objects.get(code="Elm")


def test_a_dispatcher_of_the_property_may_load_it(elm: Property) -> None:
    user = make.user(Role.DISPATCHER, property=elm)
    load(sheet("stations", STATIONS), by_user_id=user.pk)
    assert Station.objects.get(number=1).name == "Mine"
    assert Station.history.filter(history_user=user).count() == 1


def test_a_property_of_others_reads_like_one_that_does_not_exist(elm: Property) -> None:
    user = make.user(Role.DISPATCHER, property=make.place(code="Yew"))
    theirs = check(sheet("stations", STATIONS), by_user_id=user.pk)
    nowhere = check(sheet("stations", STATIONS.replace("Elm", "Fir")), by_user_id=user.pk)
    assert words(theirs) == words(nowhere)
    assert told(theirs) == [("stations", 2, "A property code", "Elm")]


def test_new_properties_need_a_grant_on_everything(elm: Property) -> None:
    limited = make.user(Role.WATER_MANAGER, client=elm.client)
    assert not check(sheet("properties", NEW), by_user_id=limited.pk).can_load
    everywhere = make.user(Role.WATER_MANAGER)
    load(sheet("properties", NEW), by_user_id=everywhere.pk)
    assert Property.objects.filter(code="Oak").exists()


def test_a_flat_list_cannot_take_a_property_of_others(elm: Property) -> None:
    user = make.user(Role.DISPATCHER, property=make.place(code="Yew"))
    text = "property,client,controller,station\nElm,Elm Trust,A,9\n"
    preview = check(sheet("list", text), by_user_id=user.pk)
    assert not preview.can_load
    assert counts(preview)["list"] == (0, 0, 0)


def test_a_client_of_others_cannot_be_named(elm: Property) -> None:
    make.client(name="Secret Ltd")
    user = make.user(Role.WATER_MANAGER, client=elm.client)
    text = "property code,property,client\nElm,Elm park,{}\n"
    theirs = check(sheet("properties", text.format("Secret Ltd")), by_user_id=user.pk)
    nowhere = check(sheet("properties", text.format("Nobody Ltd")), by_user_id=user.pk)
    assert words(theirs) == words(nowhere) != ""
