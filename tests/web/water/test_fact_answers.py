"""The sheet of missing facts: "never written down", what others did meanwhile, master valves."""

import pytest

from sites.kernel.engines.roles import Action, roles_with
from sites.models import MainValve, NotWritten, Property, Station, StationFacts
from sites.water.queries.fact_sheet import fact_rows
from sites.water.services.fact_sheet import UnableToFillIn, fill_in_facts
from tests import make
from tests.cast import Cast
from tests.make import TODAY
from tests.web.pages import open_page
from tests.web.water.sheet import keep, off, url, wrong

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def test_never_written_down_is_an_answer_and_can_be_taken_back(cast: Cast, park: Property) -> None:
    lawn = off(park)
    sheet = keep(cast, park, lawn, flow_gpm_1="Never", area_sqft_1="nunca")
    assert "Kept: 2. The water of 0 of 1 stations" in sheet.messages[0]
    said = NotWritten.objects.order_by("fact")
    assert [(each.fact, each.said_on) for each in said] == [
        ("area_sqft", TODAY),
        ("flow_gpm", TODAY),
    ]
    assert not StationFacts.objects.exists()
    missing = open_page(cast.owner, "/water/missing/?q=Lawn")
    assert missing.links["as a sheet Lawn Park"] == url(park)
    assert "area (never written down)" in missing.words.replace(" Lawn", "").replace(" A:1", "")
    sheet = open_page(cast.owner, url(park))
    assert sheet.value(f"flow_gpm-{lawn.ref}") == "never written down"
    # Sent as it stands it says nothing new; a number that turns up counts; emptied, it is asked.
    same = "never written down"
    keep(cast, park, lawn, flow_gpm_1="12", area_sqft_1="", coil_ohms_1=same)
    assert StationFacts.objects.get().flow_gpm == 12
    assert {each.fact for each in NotWritten.objects.all()} == {"flow_gpm", "coil_ohms"}


def test_what_somebody_filled_in_meanwhile_is_not_written_over(cast: Cast, park: Property) -> None:
    lawn = off(park)
    facts = StationFacts.objects.create(station=lawn, area_sqft=900, flow_gpm=7.5)
    sheet = keep(cast, park, lawn, flow_gpm_1="12", plant_factor_1="0.8")
    assert "7.5 stands here already" in wrong(sheet)["flow_gpm"]
    facts.refresh_from_db()
    assert (facts.flow_gpm, facts.plant_factor) == (7.5, None)


def test_what_is_filled_in_between_reading_and_keeping_is_seen(park: Property) -> None:
    lawn = off(park)
    facts = StationFacts.objects.create(station=lawn, area_sqft=900)
    rows = fact_rows([lawn], has_mains=False)
    StationFacts.objects.filter(pk=facts.pk).update(flow_gpm=7.5)
    cells = {(lawn.ref, "flow_gpm"): 12.0}
    with pytest.raises(UnableToFillIn, match="stands here already"):
        fill_in_facts(place=park, rows=rows, cells=cells, today=TODAY)


def test_a_master_valve_and_how_it_opens_are_filled_in_together(cast: Cast, park: Property) -> None:
    lawn, beside = off(park, 1), off(park, 2)
    clock = park.controllers.get()
    main = make.station(controller=clock, number=90, name="West master", kind="master valve")
    sheet = keep(cast, park, lawn, beside, main_valve_2="held open")
    assert "does not apply here" in wrong(sheet)["main_valve"]
    sheet = keep(cast, park, lawn, depends_on_1="West main", main_valve_1="perhaps")
    assert set(wrong(sheet)) == {"depends_on", "main_valve"}
    keep(cast, park, lawn, depends_on_1="west  MASTER", main_valve_1="it is held open")
    lawn.refresh_from_db()
    assert lawn.depends_on == main
    assert lawn.stopgaps.get().main_valve == MainValve.HELD_OPEN


def test_how_a_master_valve_opens_is_asked_behind_one_alone(cast: Cast, park: Property) -> None:
    lawn, beside = off(park, 1), off(park, 2)
    clock = park.controllers.get()
    lawn.depends_on = make.station(controller=clock, number=90, kind="master valve")
    lawn.save()
    sheet = open_page(cast.owner, url(park))
    assert sheet.value(f"main_valve-{lawn.ref}") == ""
    assert f"main_valve-{beside.ref}" not in sheet.html
    beside.stopgaps.update(kind="shut off")
    lawn.stopgaps.update(kind="shut off")
    assert f"main_valve-{lawn.ref}" not in open_page(cast.owner, url(park)).html


def test_all_who_fill_in_the_sheet_may_say_what_it_says_of_stopgaps_and_batteries() -> None:
    assert roles_with(Action.EDIT_REGISTER) <= roles_with(Action.CHANGE_STOPGAPS)


def test_a_second_coil_is_asked_for_as_long_as_the_coil_is(cast: Cast, park: Property) -> None:
    lawn = off(park)
    keep(cast, park, lawn, coil_ohms_1="24", second_coil_ohms_1="19.5 ohms")
    lawn.refresh_from_db()
    assert (lawn.coil_ohms, lawn.second_coil_ohms) == (24, 19.5)
    shrubs, hedge = off(park, number=2), off(park, number=3)
    hedge.coil_ohms = 31.0
    hedge.save()
    tree = open_page(cast.owner, url(park)).tree
    asked = {
        station.number: len(tree.find("input", name=f"second_coil_ohms-{station.ref}"))
        for station in (lawn, shrubs, hedge)
    }
    # One coil is known and no second: there is one, as searches and expected ohms take it.
    assert asked == {1: 0, 2: 1, 3: 0}


def test_a_second_coil_is_kept_though_the_first_was_filled_in_meanwhile(
    cast: Cast, park: Property
) -> None:
    lawn = off(park)
    Station.objects.filter(pk=lawn.pk).update(coil_ohms=24.0)
    keep(cast, park, lawn, second_coil_ohms_1="19.5")
    lawn.refresh_from_db()
    assert (lawn.coil_ohms, lawn.second_coil_ohms) == (24, 19.5)
