"""Pages of the verbs on properties: facts, client, rates, authority, people."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from sites.kernel.engines.roles import Role
from sites.models import Contact, Tariff
from tests import make
from tests.cast import Cast, Corner
from tests.web.pages import open_page, send

pytestmark = pytest.mark.django_db

FACTS = {"time_zone": "America/Phoenix", "units": "US", "address": "9 New Road"}


def at(name: str, corner: Corner) -> str:
    """Return the address of a page about our property."""
    return reverse(f"sites:{name}", args=[corner.property.ref])


def test_facts_change_and_history_shows_who(cast: Cast, ours: Corner) -> None:
    page = send(cast.dispatcher, at("property_edit", ours), **FACTS)
    assert page.facts()["Address"] == "9 New Road"
    assert "marigold address → 9 New Road" in page.panel("history")
    assert "dora" in page.panel("history")


def test_a_season_with_one_end_keeps_what_was_typed(cast: Cast, ours: Corner) -> None:
    page = send(cast.dispatcher, at("property_edit", ours), **FACTS, season_start="03-15")
    assert (page.status, page.value("season_start")) == (422, "03-15")


def test_another_client_pays(cast: Cast, ours: Corner) -> None:
    page = send(cast.owner, at("property_client", ours), name="New Estate", why="sold")
    assert page.facts()["Client"] == "New Estate"


def test_whoever_sees_one_client_only_does_not_hand_it_over(ours: Corner) -> None:
    local = make.user(Role.DISPATCHER, client=ours.property.client)
    assert open_page(local, at("property_client", ours)).status == 403


def test_rates_change_from_a_day_and_are_put_right(cast: Cast, ours: Corner) -> None:
    Tariff.objects.create(property=ours.property, labour_rate=Decimal("50"))
    url = at("property_tariff", ours)
    fields = {"water_price": "4.2", "price_unit": "kgal", "labour_rate": "60"}
    page = send(cast.water_manager, url, what="changed", on="2025-03-01", **fields)
    assert page.facts()["Labour rate"] == "60.00 / h"
    page = send(
        cast.water_manager, url, what="wrong", why="typo", **{**fields, "labour_rate": "65"}
    )
    assert page.facts()["Labour rate"] == "65.00 / h"
    recorded = open_page(cast.water_manager, url)
    assert recorded.column(0, "recorded") == ["2025-03-01 – now", "ever – 2025-03-01"]
    send(cast.water_manager, recorded.links["Take the latest change back"], why="next year")
    assert open_page(cast.water_manager, url).column(1, "recorded") == ["labour 50.00 per hour"]


def test_a_price_without_its_water_keeps_what_was_typed(cast: Cast, ours: Corner) -> None:
    fields = {"what": "changed", "on": "2025-03-01", "water_price": "4.2"}
    page = send(cast.owner, at("property_tariff", ours), **fields)
    assert (page.status, page.value("water_price")) == (422, "4.2")


def test_a_warranty_is_set(cast: Cast, ours: Corner) -> None:
    send(cast.owner, at("property_warranty", ours), days="365")
    ours.property.refresh_from_db()
    assert ours.property.warranty_days == 365
    assert send(cast.owner, at("property_warranty", ours), days="0").status == 422


def test_an_authority_is_given_and_ended(cast: Cast, ours: Corner) -> None:
    url = at("property_authority", ours)
    fields = {"given_by": "Ann", "from_on": "2025-03-01", "up_to_hours": "2"}
    assert send(cast.owner, url, **fields).status == 200
    again = send(cast.owner, url, **fields)
    assert (again.status, again.value("given_by")) == (422, "Ann")
    end = open_page(cast.owner, url).links["End it"]
    page = send(cast.owner, end, on="2025-04-01", why="withdrawn")
    assert page.column(0, "recorded") == ["2025-03-01 – 2025-04-01"]


def test_ending_where_there_is_none_is_not_found(cast: Cast, ours: Corner) -> None:
    page = send(cast.owner, at("property_authority_end", ours), on="2025-04-01", why="x")
    assert page.status == 404


def test_a_contact_is_added_changed_ended_and_brought_back(cast: Cast, ours: Corner) -> None:
    page = send(cast.dispatcher, at("contact_edit", ours), name="Ann", role="pays")
    assert ["Ann", "pays"] in [row[:2] for row in page.rows()]
    row = Contact.objects.get(name="Ann")
    end = f"{at('contact_end', ours)}?row={row.pk}"
    edit = f"{at('contact_edit', ours)}?row={row.pk}"
    assert open_page(cast.dispatcher, edit).value("role") == "pays"
    send(cast.dispatcher, edit, name="Ann B", role="pays")
    page = send(cast.dispatcher, end, on="2025-04-01", why="moved")
    assert "Ann B, pays until 2025-04-01" in page.panel("ended")
    place = open_page(cast.dispatcher, reverse("reports:property", args=[ours.property.ref]))
    assert "Ann B" not in place.panel("facts")
    page = send(cast.dispatcher, end, why="came back")
    assert "Ann B" in page.column(0)


def test_a_contact_named_twice_keeps_what_was_typed(cast: Cast, ours: Corner) -> None:
    page = send(cast.dispatcher, at("contact_edit", ours), name="MARIGOLD contact", phone="1")
    assert (page.status, page.value("phone")) == (422, "1")


def test_a_strangers_contact_is_not_found(cast: Cast, ours: Corner, theirs: Corner) -> None:
    row = theirs.property.contacts.get()
    for name in ("contact_edit", "contact_end"):
        assert open_page(cast.dispatcher, f"{at(name, ours)}?row={row.pk}").status == 404


OFFICE_ONLY = ["property_edit", "property_tariff", "property_authority", "property_warranty"]


@pytest.mark.parametrize("name", OFFICE_ONLY)
def test_only_the_office_may_and_only_at_its_own_clients(
    cast: Cast, ours: Corner, theirs: Corner, name: str
) -> None:
    other = make.user(Role.DISPATCHER, client=theirs.property.client)
    assert open_page(cast.technician, at(name, ours)).status == 403
    assert open_page(other, at(name, ours)).status == 404


def test_today_is_the_day_at_the_property(cast: Cast, ours: Corner, time_machine: Any) -> None:
    time_machine.move_to("2025-06-15T02:00:00+00:00")
    ours.property.time_zone = "America/Phoenix"
    ours.property.save()
    assert open_page(cast.owner, at("property_authority", ours)).value("from_on") == "2025-06-14"


def test_a_day_in_another_zone_is_not_yet(cast: Cast, ours: Corner, time_machine: Any) -> None:
    time_machine.move_to("2025-06-15T02:00:00+00:00")
    ours.property.time_zone = "America/Phoenix"
    ours.property.save()
    fields = {"what": "changed", "on": date(2025, 6, 15), "labour_rate": "1"}
    page = send(cast.owner, at("property_tariff", ours), **fields)
    assert "has not come yet (today is 2025-06-14)" in page.errors[0]
