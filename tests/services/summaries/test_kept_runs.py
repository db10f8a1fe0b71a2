"""Answers over all properties in view: who shares one, when it is worked out again."""

from datetime import timedelta

import pytest

from reports.summaries.services.kept_runs import (
    LASTING,
    WANTED_FOR,
    ask_for,
    make_anew,
    newest,
    under_way,
)
from sites.kernel.engines.roles import Role
from sites.models import Grant, Property, Run, RunState, User
from tests import make

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


@pytest.fixture
def place(db: None) -> Property:
    return make.place()


def done(by: User) -> Run:
    """Return an answer that this user asked for at make.NOW."""
    run = ask_for(LASTING, by=by, at=make.NOW)
    Run.objects.filter(pk=run.pk).update(state=RunState.DONE, ended_at=make.NOW, result={})
    run.refresh_from_db()
    return run


def anew(days: float) -> int:
    return make_anew(at=make.NOW + days * DAY, go_on=lambda: None)["started"]


def test_those_who_see_the_same_properties_share_an_answer(place: Property) -> None:
    owner, manager = make.user(Role.OWNER), make.user(Role.WATER_MANAGER)
    one = make.user()
    Grant.objects.create(user=one, role=Role.WATER_MANAGER, property=place)
    run = done(owner)
    assert newest(manager, LASTING) == run
    assert newest(one, LASTING) == run
    make.place()
    assert newest(owner, LASTING) is None
    assert newest(one, LASTING) == run


def test_a_second_wish_while_one_is_under_way_is_the_same(place: Property) -> None:
    owner = make.user(Role.OWNER)
    first = ask_for(LASTING, by=owner, at=make.NOW)
    assert under_way(owner, LASTING) == first
    assert ask_for(LASTING, by=make.user(Role.OWNER), at=make.NOW) == first
    Run.objects.filter(pk=first.pk).update(state=RunState.FAILED, problem="broke")
    assert under_way(owner, LASTING) == first
    assert ask_for(LASTING, by=owner, at=make.NOW) != first


def test_it_is_worked_out_anew_after_a_day(place: Property) -> None:
    run = done(make.user(Role.OWNER))
    assert anew(0.99) == 0
    assert anew(1) == 1
    assert anew(1) == 0  # it waits
    again = Run.objects.latest("pk")
    assert again != run
    assert again.arguments == run.arguments


def test_what_nobody_asked_for_lately_rests(place: Property) -> None:
    done(make.user(Role.OWNER))
    assert anew(WANTED_FOR.days) == 0
    assert anew(WANTED_FOR.days - 0.01) == 1


def test_it_is_not_made_anew_for_who_sees_other_things_now(place: Property) -> None:
    owner = make.user(Role.OWNER)
    done(owner)
    make.place()
    assert anew(2) == 0
    done(owner)
    User.objects.filter(pk=owner.pk).update(is_active=False)
    assert anew(2) == 0
