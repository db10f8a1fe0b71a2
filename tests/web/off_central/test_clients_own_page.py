"""The client's own page speaks plain words about its own properties, and names no rate."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from sites.kernel.engines.roles import Role
from sites.stopgaps.services.spells import rebuild_spells
from tests import make
from tests.cast import Cast, Corner

pytestmark = pytest.mark.django_db


def test_is_where_home_leads_a_client(client: Client, cast: Cast) -> None:
    client.force_login(cast.client_user)
    assert client.get(reverse("reports:home")).headers["Location"] == reverse("reports:mine")


def test_is_not_where_home_leads_our_own_people(client: Client, cast: Cast) -> None:
    client.force_login(cast.water_manager)
    assert client.get(reverse("reports:home")).status_code == 200


def test_says_why_and_what_happens_next(client: Client, cast: Cast, ours: Corner) -> None:
    client.force_login(cast.client_user)
    page = client.get(reverse("reports:mine")).content.decode()
    assert "1 of 2 valves run from the central system. One does not:" in page
    assert "A wire in the ground is broken" in page
    assert "We know about it" in page


def test_says_when_all_is_well(client: Client) -> None:
    where = make.place()
    make.station(controller=make.controller(property=where))
    client.force_login(make.user(Role.CLIENT, client=where.client))
    page = client.get(reverse("reports:mine")).content.decode()
    assert "Its one valve runs from the central system." in page


def test_says_when_nobody_is_at_work(client: Client) -> None:
    station = make.station()
    make.stopgap(station=station, on=date(2025, 2, 1))
    rebuild_spells([station.pk])
    where = station.controller.property
    client.force_login(make.user(Role.CLIENT, client=where.client))
    assert "Nobody is at work on it yet" in client.get(reverse("reports:mine")).content.decode()


def test_never_holds_a_word_of_another_client(client: Client, cast: Cast, theirs: Corner) -> None:
    client.force_login(cast.client_user)
    assert "wombat" not in client.get(reverse("reports:mine")).content.decode()
