"""A difference is raised by the list that shows it first, once, and goes when it is settled.

The rule is ours: common practice, no source.
"""

from datetime import timedelta

import pytest

from faults.due.services.raising import raise_by_rules
from faults.due.services.words import sentence
from faults.models import FollowUp, FollowUpKind, FollowUpState
from sites.kernel.engines.roles import Role
from sites.models import NewestList, StandingDifference, Station, Stopgap
from sites.reconcile.queries import standing_for
from sites.reconcile.services.lists import lists_for, sees_all_of
from sites.reconcile.services.standing import forget_settled
from tests import make
from tests.services.reconcile.office import AGREED, OFF, ON, Office, make_office, without

pytestmark = pytest.mark.django_db

TWO_ON = ("Fern Row,A,1,yes", "Fern Row,A,2,yes", "Fern Row,A,3,yes", "Fern Row,A,9,yes")


@pytest.fixture
def office(db: None) -> Office:
    """The office."""
    return make_office()


def standing() -> list[tuple[str, str]]:
    """What stands, by station."""
    rows = StandingDifference.objects.order_by("controller_name", "number", "pk")
    return [(str(row).split(" ")[0], row.difference) for row in rows]


def due(state: FollowUpState = FollowUpState.OPEN) -> list[FollowUp]:
    """The lines of what is due after a round, of this kind."""
    raise_by_rules(at=make.NOW)
    rows = FollowUp.objects.filter(kind=FollowUpKind.CENTRAL_DIFFERS, state=state)
    return list(rows.order_by("pk"))


def test_a_list_that_agrees_raises_nothing(office: Office) -> None:
    office.take(*AGREED)
    assert standing() == []
    assert due() == []


def test_the_same_difference_in_a_second_list_stands_since_the_first(office: Office) -> None:
    first = office.take(*without(1, "Fern Row,A,1,yes"))
    second = office.take(*without(1, "Fern Row,A,1,yes", "Fern Row,A,9,yes"))
    rows = StandingDifference.objects.order_by("number")
    assert [(row.number, row.list) for row in rows] == [(1, first), (9, second)]


def test_what_the_next_list_does_not_show_is_gone(office: Office) -> None:
    office.take(*without(1, "Fern Row,A,1,yes"))
    office.take(*AGREED)
    assert standing() == []


def test_a_list_of_one_controller_says_nothing_of_another(office: Office) -> None:
    other = make.controller(property=office.place, name="B")
    make.station(controller=other, number=1)
    office.take(*without(2, "Fern Row,A,2,no"))
    office.take("Fern Row,B,1,no")
    assert standing() == [("A:2", OFF), ("B:1", OFF)]
    office.take(*AGREED)
    assert standing() == [("B:1", OFF)]
    assert NewestList.objects.count() == 2


def test_what_was_settled_in_the_register_is_let_go(office: Office) -> None:
    office.take(*TWO_ON)
    assert standing() == [("A:1", ON), ("A:9", "unknown here")]
    assert forget_settled() == 0
    Station.objects.create(controller=office.clock, number=9)
    assert forget_settled() == 1
    assert standing() == [("A:1", ON)]


def test_what_was_decided_is_let_go(office: Office) -> None:
    office.settle(office.take(*without(1, "Fern Row,A,1,yes")), "disable there")
    assert forget_settled() == 1
    assert standing() == []


def test_a_register_newer_than_the_list_raises_nothing(office: Office) -> None:
    """A stopgap that was fitted after the list came is no difference of that list."""
    office.take(*AGREED)
    make.stopgap(station=office.stations[2], on=make.TODAY)
    assert forget_settled() == 0
    assert standing() == []


def test_one_line_falls_due_for_a_list_and_lapses_with_its_last_difference(office: Office) -> None:
    office.take(*TWO_ON)
    (line,) = due()
    assert (line.property, line.due_on) == (office.place, make.TODAY)
    assert "put one of the two right" in sentence(line)
    assert len(due()) == 1
    Station.objects.create(controller=office.clock, number=9)
    forget_settled()
    assert due() == [line]
    Stopgap.objects.all().delete()
    forget_settled()
    assert due() == []
    assert due(FollowUpState.LAPSED) == [line]


def test_a_later_list_raises_only_what_is_new_even_after_the_first_line_was_ticked(
    office: Office,
) -> None:
    office.take(*without(1, "Fern Row,A,1,yes"))
    (line,) = due()
    line.state, line.done_on = FollowUpState.DONE, make.TODAY
    line.save()
    office.take(*without(1, "Fern Row,A,1,yes"))
    assert due() == []
    office.take(*TWO_ON)
    (new,) = due()
    assert new.pk != line.pk


def test_each_property_has_a_line_of_its_own(office: Office) -> None:
    other = make.place(code="Gate")
    make.station(controller=make.controller(property=other, name="A"), number=1)
    office.take(*TWO_ON, "Gate,A,1,no")
    assert sorted(line.property.code for line in due()) == ["Fern Row", "Gate"]


def test_a_retired_property_is_not_asked_about(office: Office) -> None:
    office.take(*TWO_ON)
    office.place.retired_on = make.TODAY - timedelta(days=1)
    office.place.save()
    assert due() == []
    assert forget_settled() == 2


def test_who_reconciles_one_property_works_through_a_list_of_several(office: Office) -> None:
    other = make.place(code="Gate")
    central = office.take(*TWO_ON, "Gate,A,1,no")
    theirs = make.user(Role.DISPATCHER, property=other)
    strangers = make.user(Role.DISPATCHER, property=make.place(code="Far"))
    assert list(lists_for(theirs)) == [central]
    assert not sees_all_of(central, theirs)
    assert sees_all_of(central, office.user)
    assert list(lists_for(strangers)) == []
    assert [(one.place, one.count) for one in standing_for(theirs)] == [(other, 1)]
    assert [one.count for one in standing_for(office.user)] == [2, 1]
    assert standing_for(strangers) == []
