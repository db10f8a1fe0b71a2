"""An export holds what its user may see on pages, and not a word more."""

import pytest

from faults.models import Assignment
from sites.kernel.engines.roles import Role
from sites.models import ClimateRow, Contact, Property, Tariff, User
from tests import make
from tests.cast import OURS, THEIRS, Cast, Corner
from tests.services.export.there_and_back import Lists, exported, rows_of

pytestmark = pytest.mark.django_db

LIMITED = ["tracer", "client_user"]


@pytest.fixture(autouse=True)
def _rates(ours: Corner, theirs: Corner) -> None:
    for corner in (ours, theirs):
        Tariff.objects.create(property=corner.property, labour_rate="77.25")


def lists_for(cast: Cast, person: str) -> Lists:
    """Return what this person's export holds."""
    user: User = getattr(cast, person)
    return exported(user)


@pytest.mark.parametrize("person", LIMITED)
def test_another_clients_words_never_stand_in_it(cast: Cast, person: str) -> None:
    assert THEIRS not in str(lists_for(cast, person)).lower()


@pytest.mark.parametrize("person", [*LIMITED, "outsider"])
def test_contacts_need_leave_to_see_them(cast: Cast, person: str) -> None:
    assert "contacts.csv" not in lists_for(cast, person)


@pytest.mark.parametrize("person", [*LIMITED, "technician"])
def test_rates_need_leave_to_see_them(cast: Cast, person: str) -> None:
    assert "77.25" not in str(lists_for(cast, person))


def test_the_office_gets_all_of_it(cast: Cast) -> None:
    lists = lists_for(cast, "dispatcher")
    assert "77.25" in lists["properties.csv"]
    assert f"{OURS} contact" in lists["contacts.csv"]


def test_leave_on_one_property_shows_no_rates_of_another(ours: Corner, theirs: Corner) -> None:
    user = make.user(Role.DISPATCHER, property=ours.property)
    rates = {
        row["property code"]: row["labour rate"] for row in rows_of(exported(user), "properties")
    }
    assert rates == {f"{OURS}-park": "77.25"}


def test_a_tracer_gets_only_faults_that_are_its_own(cast: Cast, ours: Corner) -> None:
    other = make.fault(ours.on_central, key="not-yours")
    Assignment.objects.filter(fault=other).delete()
    assert "not-yours" not in str(lists_for(cast, "tracer"))
    Assignment.objects.create(fault=other, user=cast.tracer, from_on=make.TODAY)
    assert "not-yours" in str(lists_for(cast, "tracer"))


def test_a_stranger_gets_headings_at_most(cast: Cast) -> None:
    assert lists_for(cast, "stranger") == {}


def test_shared_climate_goes_to_those_who_see_everything(cast: Cast) -> None:
    ClimateRow.objects.create(table="shared", month=7, eto_in=0.3, source="book")
    assert len(rows_of(lists_for(cast, "owner"), "climate")) == 1
    assert rows_of(lists_for(cast, "client_user"), "climate") == []


def test_a_contact_that_ended_is_left_out(theirs: Corner) -> None:
    contact = Contact.objects.get(property=theirs.property)
    contact.ended_on = make.TODAY
    contact.save()
    assert THEIRS not in exported()["contacts.csv"]


def test_a_retired_property_is_left_out(ours: Corner, theirs: Corner) -> None:
    place = Property.objects.get(pk=theirs.property.pk)
    place.retired_on = make.TODAY
    place.save()
    assert THEIRS not in str(exported())
