"""People of a property, and its client's standing authority."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from sites.kernel.services.verb_days import UnableToUseDay
from sites.models import Property
from sites.register.services.contacts import (
    UnableToGiveAuthority,
    UnableToKeepContact,
    add_contact,
    bring_contact_back,
    change_contact,
    end_authority,
    end_contact,
    give_authority,
)
from tests import make
from tests.services.stopgaps.given import DAY, TODAY, day, history

pytestmark = pytest.mark.django_db

ANN: dict[str, Any] = {"name": "Ann", "role": "pays", "phone": "", "email": "", "language": ""}


def test_a_contact_is_added_changed_ended_and_brought_back() -> None:
    contact = add_contact(place=make.place(), values=ANN)
    change_contact(contact=contact, values={**ANN, "phone": "555 0100"})
    end_contact(contact=contact, on=DAY, why="moved away", today=TODAY)
    assert contact.ended_on == DAY
    bring_contact_back(contact=contact, why="came back")
    assert contact.ended_on is None
    assert [why for _, why in history(contact)] == ["", "", "moved away", "came back"]


def test_a_contact_is_named_once_per_role() -> None:
    place = make.place()
    first = add_contact(place=place, values=ANN)
    with pytest.raises(UnableToKeepContact, match="already"):
        add_contact(place=place, values={**ANN, "name": "ANN"})
    other = add_contact(place=place, values={**ANN, "role": "approves"})
    with pytest.raises(UnableToKeepContact, match="already"):
        change_contact(contact=other, values=ANN)
    end_contact(contact=first, on=DAY, why="", today=TODAY)
    with pytest.raises(UnableToKeepContact, match="Bring that one back"):
        add_contact(place=place, values=ANN)


def test_a_contact_ends_once_and_on_a_day_that_has_come() -> None:
    contact = add_contact(place=make.place(), values=ANN)
    with pytest.raises(UnableToUseDay):
        end_contact(contact=contact, on=date(2026, 1, 1), why="", today=TODAY)
    with pytest.raises(UnableToKeepContact, match="not ended"):
        bring_contact_back(contact=contact, why="")
    end_contact(contact=contact, on=DAY, why="", today=TODAY)
    with pytest.raises(UnableToKeepContact, match="already"):
        end_contact(contact=contact, on=DAY, why="", today=TODAY)


def give(place: Property, **other: Any) -> Any:
    """Give an authority of two hours."""
    given: dict[str, Any] = {
        "from_on": DAY,
        "to_on": None,
        "up_to_hours": Decimal(2),
        "up_to_amount": None,
        "given_by": "Ann",
    }
    return give_authority(place=place, **{**given, **other})


def test_an_authority_is_given_ended_and_given_again() -> None:
    place = make.place()
    first = give(place)
    end_authority(authority=first, on=day(9), why="withdrawn")
    assert (first.to_on, history(first)[-1]) == (day(9), ("~", "withdrawn"))
    give(place, from_on=day(9))


def test_an_authority_ended_on_its_first_day_never_held() -> None:
    place = make.place()
    end_authority(authority=give(place), on=DAY, why="a mistake")
    assert not place.authorities.on(DAY).exists()
    give(place)


@pytest.mark.parametrize(
    "wrong",
    [
        {"up_to_hours": None},
        {"up_to_hours": Decimal(0)},
        {"up_to_amount": Decimal(0)},
        {"up_to_hours": Decimal(0), "up_to_amount": Decimal(9)},
        {"to_on": DAY},
    ],
)
def test_an_authority_needs_a_limit_and_days(wrong: dict[str, Any]) -> None:
    with pytest.raises(UnableToGiveAuthority):
        give(make.place(), **wrong)


def test_one_authority_holds_at_a_time() -> None:
    place = make.place()
    give(place)
    with pytest.raises(UnableToGiveAuthority, match="Another one holds"):
        give(place, from_on=day(5))


def test_an_authority_ends_no_earlier_than_it_was_given_and_once() -> None:
    authority = give(make.place())
    with pytest.raises(UnableToGiveAuthority, match="given from"):
        end_authority(authority=authority, on=date(2025, 1, 1), why="")
    end_authority(authority=authority, on=day(3), why="")
    with pytest.raises(UnableToGiveAuthority, match="already"):
        end_authority(authority=authority, on=day(4), why="")
