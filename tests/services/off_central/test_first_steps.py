"""What to do next counts what is registered, for whom it is to enter."""

import pytest

from faults.models import CrewMember
from reports.off_central.services.first_steps import (
    KINDS,
    MOST_NAMED,
    Step,
    first_steps,
)
from reports.off_central.services.putting_away import (
    UnableToPutAway,
    bring_step_back,
    put_step_away,
)
from sites.kernel.engines.roles import Role
from sites.models import Central, ClimateRow, Contact, Property, Tariff, User
from tests import make, make_jobs, make_notices, make_water

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(db: None) -> User:
    """An owner of everything."""
    return make.user(Role.OWNER)


def steps(user: User) -> dict[str, Step]:
    """Return the steps by name."""
    return {step.name: step for step in first_steps(user)}


def counted(user: User, name: str) -> tuple[int, int, list[str]]:
    """Return what one step counts, and what it names."""
    found = steps(User.objects.get(pk=user.pk))[name].counted
    return found.known, found.total, [words for words, _url in found.lacking]


def test_an_empty_register_has_nothing_to_count_but_people(owner: User) -> None:
    assert list(steps(owner)) == ["crews", "people"]


def test_another_person_who_can_sign_in(owner: User) -> None:
    make.user()
    other = make.user(Role.DISPATCHER, is_active=False)
    assert not steps(owner)["people"].is_done
    other.is_active = True
    other.save()
    assert steps(owner)["people"].is_done


def test_controllers_whose_link_nobody_knows(owner: User) -> None:
    make.controller(central=Central.NOT_KNOWN)
    for central in (Central.LINKED, Central.NOT_MEANT):
        make.controller(central=central)
    assert counted(owner, "central")[:2] == (2, 3)
    step = steps(owner)["central"]
    assert step.said == "Known of 2 of 3 controllers."
    assert step.url == "/controllers/?central=not+known"
    assert step.is_open


def test_timers_in_use_without_the_day_of_their_batteries(owner: User) -> None:
    place = make.place(code="Alder")
    clock = make.controller(property=place)
    for name in ("T-1", "T-2"):
        timer = make.device(property=place, name=name)
        make.stopgap(station=make.station(controller=clock), device=timer)
    make.device(property=place, name="in the van")
    timer.battery_changed_on = make.TODAY
    timer.save()
    assert counted(owner, "batteries") == (1, 2, ["T-1, Alder"])
    taken_out = place.devices.get(name="T-1").stopgaps.get()
    taken_out.removed_on = make.TODAY
    taken_out.save()
    assert counted(owner, "batteries") == (1, 1, [])
    assert steps(owner)["batteries"].is_done


def test_what_the_meters_lack(owner: User) -> None:
    make.station()
    make.stopgap()
    make_water.lawn(has_schedule=False)
    assert counted(owner, "schedules")[:2] == (0, 2)
    assert counted(owner, "meters")[:2] == (0, 2)


def test_a_meter_without_a_price_is_known_and_one_without_a_flow_is_not(owner: User) -> None:
    make_water.climate()
    lawn = make_water.lawn()
    assert counted(owner, "schedules")[:2] == counted(owner, "meters")[:2] == (1, 1)
    make_water.lawn(lawn.controller.property, facts={"flow_gpm": None, "plant_factor": None})
    assert counted(owner, "schedules") == (2, 2, [])
    assert counted(owner, "meters") == (1, 2, [lawn.controller.property.code])


def test_properties_name_what_they_lack(owner: User) -> None:
    alder, briar = (make.place(code=code) for code in ("Alder", "Briar"))
    for name in ("climate", "prices", "contacts", "records", "notice rules"):
        assert counted(owner, name) == (0, 2, ["Alder", "Briar"]), name
    ClimateRow.objects.create(table="Alder", property=alder, month=5, eto_in=7, source="own")
    Property.objects.filter(pk=briar.pk).update(climate_table="Valley", records_since=make.TODAY)
    Tariff.objects.create(property=alder, labour_rate=60)
    Tariff.objects.create(property=briar, water_price=3, price_unit="kgal")
    Contact.objects.create(property=alder, name="Quince")
    assert counted(owner, "climate") == (2, 2, [])
    assert counted(owner, "prices") == (1, 2, ["Alder"])
    assert counted(owner, "contacts") == (1, 2, ["Briar"])
    assert counted(owner, "records") == (1, 2, ["Alder"])


def test_a_price_or_contact_that_ended_counts_no_more(owner: User) -> None:
    place = make.place()
    price = Tariff.objects.create(property=place, water_price=3, price_unit="kgal")
    person = Contact.objects.create(property=place, name="Quince")
    assert counted(owner, "prices")[0] == counted(owner, "contacts")[0] == 1
    Tariff.objects.filter(pk=price.pk).update(to_on=make.TODAY)
    Contact.objects.filter(pk=person.pk).update(ended_on=make.TODAY)
    assert counted(owner, "prices")[0] == counted(owner, "contacts")[0] == 0


def test_a_rule_counts_when_it_is_confirmed(owner: User) -> None:
    make.place(notice_region=" dry  BASIN")
    make.place(notice_region="Elsewhere")
    rule = make_notices.rule(region="Dry Basin", confirmed_by=None, confirmed_on=None)
    assert counted(owner, "notice rules")[:2] == (0, 2)
    rule.confirmed_by, rule.confirmed_on = owner, make.TODAY
    rule.save()
    assert counted(owner, "notice rules")[:2] == (1, 2)


def test_crews_are_set_up_when_somebody_is_in_one(owner: User) -> None:
    crew = make_jobs.crew()
    CrewMember.objects.all().delete()
    assert not steps(owner)["crews"].is_done
    make_jobs.member(crew=crew, user=owner)
    assert steps(owner)["crews"].is_done
    crew.retired_on = make.TODAY
    crew.save()
    assert not steps(owner)["crews"].is_done


def test_only_the_first_are_named(owner: User) -> None:
    for number in range(MOST_NAMED + 1):
        make.place(code=f"Place {number}")
    known, total, named = counted(owner, "records")
    assert (known, total, len(named)) == (0, MOST_NAMED + 1, MOST_NAMED)


def test_retired_properties_need_nothing(owner: User) -> None:
    make.place(retired_on=make.TODAY)
    assert list(steps(owner)) == ["crews", "people"]


def test_each_counts_only_where_one_may_enter_it() -> None:
    alder, _briar = make.place(), make.place()
    manager = make.user(Role.WATER_MANAGER, property=alder)
    assert counted(manager, "records")[:2] == (0, 1)
    assert "crews" not in steps(manager)
    assert "batteries" not in steps(make.user(Role.CLIENT, client=alder.client))
    assert steps(make.user(Role.CLIENT, client=alder.client)) == {}


def test_put_away_for_oneself_and_back(owner: User) -> None:
    other = make.user(Role.OWNER)
    make.place()
    put_step_away(user=owner, step="records")
    put_step_away(user=owner, step="records")
    assert steps(owner)["records"].is_put_away
    assert not steps(owner)["records"].is_open
    assert steps(other)["records"].is_open
    bring_step_back(user=owner, step="records")
    assert steps(owner)["records"].is_open


def test_no_step_that_there_is_not(owner: User) -> None:
    with pytest.raises(UnableToPutAway):
        put_step_away(user=owner, step="dance")
    assert "dance" not in KINDS
