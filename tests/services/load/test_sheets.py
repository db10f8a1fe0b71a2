"""What each sheet of the register makes, and what each refuses."""

from datetime import date, timedelta

import pytest

from sites.models import (
    AtPoint,
    CentralState,
    ClimateRow,
    Contact,
    Controller,
    Device,
    Feed,
    Leg,
    Property,
    Schedule,
    Spell,
    Station,
    Stopgap,
    Tariff,
    Wire,
    WireAtPoint,
)
from tests.services.load import GROUND, base, changes, check, counts, load, sheet, told, words

pytestmark = pytest.mark.django_db

STOPGAPS = "property code,controller,station number,kind,fitted,first seen,removed,device,"


def test_a_property_keeps_its_tariff_and_units() -> None:
    load(
        *base(
            properties="property code,property,client,units,water price ($/HCF),labour rate,"
            "season start\nElm,Elm park,Elm Trust,metric,4.5,74,03-15\n"
        )
    )
    place = Property.objects.get()
    assert (place.name, place.units, place.season_start) == ("Elm park", "metric", "03-15")
    tariff = Tariff.objects.get()
    assert (str(tariff.water_price), tariff.price_unit, tariff.from_on) == ("4.5000", "HCF", None)


def test_a_later_price_corrects_the_open_tariff() -> None:
    text = "property code,property,client,water price\nElm,Elm park,Elm Trust,{}\n"
    load(*base(properties=text.format("4.5")))
    preview = load(*base(properties=text.format("5")))
    assert changes(preview) == [("water price", "4.5", "5")]
    assert str(Tariff.objects.get().water_price) == "5.0000"


def test_a_metric_property_counts_in_metres() -> None:
    ground = {**GROUND, "stations": "property code,controller,station number\nElm,A,1\n"}
    metric = "property code,property,client,units\nElm,Elm park,Elm Trust,metric\n"
    load(*base(**ground, properties=metric))
    assert Leg.objects.get(label="L1").length_ft == pytest.approx(328.084)


def test_answered_units_hold_where_the_property_says_otherwise() -> None:
    load(*base(**GROUND), units="metric")
    assert Leg.objects.get(label="L2").length_ft == pytest.approx(262.467)


def test_contacts_are_one_for_each_name_and_role() -> None:
    text = "property code,name,role,email\nElm,Bo,approves,bo@example.org\nElm,Bo,key holder,\n"
    load(*base(contacts=text))
    assert sorted(Contact.objects.values_list("role", flat=True)) == ["approves", "holds the key"]
    preview = check(*base(contacts=text.replace("bo@example.org", "bo at home")))
    assert told(preview) == [("contacts", 2, "D email", "bo at home")]


def test_a_wire_lies_in_its_legs_and_ends_where_only_one_of_them_comes() -> None:
    load(*base(**GROUND))
    hot = Wire.objects.get(name="A-1 hot")
    assert {leg.label for leg in hot.legs.all()} == {"L1", "L2"}
    at = {each.point.name: each.how for each in WireAtPoint.objects.filter(wire=hot)}
    assert at == {"A": AtPoint.ENDS, "V1": AtPoint.ENDS}
    common = WireAtPoint.objects.filter(wire__name="A common").order_by("point__name")
    assert {each.point.name: each.how for each in common}["S1"] == AtPoint.SPLICED
    assert (hot.laid_earliest, hot.laid_latest) == (date(2009, 1, 1), date(2009, 12, 31))


def test_a_station_is_fed_by_its_wire_and_depends_on_another() -> None:
    load(*base(**GROUND))
    first = Station.objects.get(number=1)
    assert Feed.objects.get(station=first).wire.name == "A-1 hot"
    assert first.depends_on == Station.objects.get(number=2)
    assert not Station.history.filter(id=first.pk, history_type="~").exists()


def test_a_register_with_surveyed_wires_replaces_the_implied_leg() -> None:
    bare = "property code,controller,station number,run length\nElm,A,1,340\n"
    load(*base(stations=bare))
    load(*base(**GROUND))
    implied = Leg.objects.get(is_surveyed=False)
    assert implied.retired_on == date(2025, 6, 15)
    assert {leg.label for leg in Feed.objects.get().wire.legs.all()} == {"L1", "L2"}


def test_legs_of_a_wire_that_do_not_join_are_remarked_on() -> None:
    text = "property code,wire,kind,legs\nElm,A-1 hot,hot,L2;L4\n"
    legs = GROUND["legs"] + "Elm,L4,A,V2,10\n"
    assert "do not join" in words(check(*base(**{**GROUND, "legs": legs, "wires": text})))


def test_a_lost_link_without_a_day_is_lost_since_the_day_of_the_load_at_least() -> None:
    load(*base(controllers="property code,controller,central\nElm,A,link lost\n"))
    state = CentralState.objects.get(to_on=None)
    assert (state.from_on, state.from_is_exact) == (date(2025, 6, 15), False)
    assert Controller.objects.get().central == "link lost"
    assert Spell.objects.count() == 2


def test_a_link_that_comes_back_closes_the_lost_state_on_its_day() -> None:
    text = "property code,controller,central,since\nElm,A,{}\n"
    load(*base(controllers=text.format("link lost,2025-03-01")))
    preview = load(*base(controllers=text.format("linked,2025-05-01")))
    assert changes(preview) == [
        ("central", "link lost", "linked"),
        ("since", "2025-03-01", "2025-05-01"),
    ]
    assert CentralState.objects.get(state="link lost").to_on == date(2025, 5, 1)
    assert Controller.objects.get().central == "linked"
    assert set(Spell.objects.values_list("from_on", "to_on")) == {
        (date(2025, 3, 1), date(2025, 5, 1))
    }


def test_a_state_from_before_the_present_one_is_refused() -> None:
    text = "property code,controller,central,since\nElm,A,{}\n"
    load(*base(controllers=text.format("link lost,2025-03-01")))
    preview = check(*base(controllers=text.format("linked,2025-01-01")))
    assert told(preview) == [("controllers", 2, "D since", "2025-01-01")]


def test_a_stopgap_keeps_its_device_and_the_latest_batteries() -> None:
    text = (
        STOPGAPS + "battery changed\nElm,A,1,timer,2025-02-01,,,T1,2025-03-01\n"
        "Elm,A,2,timer,2025-02-01,,,T1,2025-04-01\n"
    )
    load(*base(stopgaps=text))
    device = Device.objects.get()
    assert device.battery_changed_on == date(2025, 4, 1)
    assert device.stopgaps.count() == 2
    assert counts(load(*base(stopgaps=text)))["stopgaps"] == (0, 0, 2)


def test_a_stopgap_that_is_removed_ends_its_spell() -> None:
    text = STOPGAPS + "reason\nElm,A,1,timer,2025-02-01,,{},,wire\n"
    load(*base(stopgaps=text.format("")))
    preview = load(*base(stopgaps=text.format("2025-04-01")))
    assert changes(preview) == [("removed", "", "2025-04-01")]
    assert Spell.objects.get().to_on == date(2025, 4, 1)


def test_two_stopgaps_that_follow_each_other_may_move_their_common_day() -> None:
    text = STOPGAPS + "source key\nElm,A,1,timer,2025-02-01,,{0},,S1\nElm,A,1,off,{0},,,,S2\n"
    load(*base(stopgaps=text.format("2025-04-01")))
    load(*base(stopgaps=text.format("2025-05-01")))
    assert Stopgap.objects.get(source_key="S1").removed_on == date(2025, 5, 1)
    assert Stopgap.objects.get(source_key="S2").counted_from == date(2025, 5, 1)
    assert {each.kind for each in Stopgap.objects.all()} == {"battery timer", "shut off"}


def test_a_year_does_not_blur_a_day_that_is_known() -> None:
    text = STOPGAPS + "reason\nElm,A,1,timer,{},,,,wire\n"
    load(*base(stopgaps=text.format("2024-05-06")))
    assert counts(load(*base(stopgaps=text.format("2024"))))["stopgaps"] == (0, 0, 1)
    assert Stopgap.objects.get().counted_from == date(2024, 5, 6)


def test_an_overlap_with_the_register_is_named() -> None:
    text = STOPGAPS + "reason\nElm,A,1,{},2025-0{}-01,,,,wire\n"
    load(*base(stopgaps=text.format("timer", 2)))
    preview = check(*base(stopgaps=text.format("by hand", 4)))
    assert told(preview) == [("stopgaps", 2, "E fitted", "2025-04-01")]
    assert "the register" in words(preview)


def test_stopgaps_that_nearly_match_are_shown_and_never_merged() -> None:
    text = (
        STOPGAPS + "reason\nElm,A,1,timer,2025-02-01,,2025-02-03,,wire\n"
        "Elm,A,1,timer,2025-02-04,,,,wire\n"
    )
    preview = load(*base(stopgaps=text))
    assert "nearly the same" in words(preview)
    assert Stopgap.objects.count() == 2


@pytest.mark.parametrize("first_is", ["earlier", "later"])
@pytest.mark.parametrize(
    ("kind", "apart", "is_near"),
    [("timer", 13, True), ("timer", 14, True), ("timer", 15, False), ("by hand", 3, False)],
)
def test_two_of_one_kind_nearly_match_up_to_14_days_apart(
    first_is: str, kind: str, apart: int, is_near: bool
) -> None:
    early, late = date(2025, 3, 1), date(2025, 3, 1) + timedelta(days=apart)
    known, new = (early, late) if first_is == "earlier" else (late, early)
    row = STOPGAPS + "reason\nElm,A,1,{},{},,{},,wire\n"
    load(*base(stopgaps=row.format("timer", known, known + timedelta(days=1))))
    preview = load(*base(stopgaps=row.format(kind, new, new + timedelta(days=1))))
    assert ("nearly the same" in words(preview)) is is_near
    assert Stopgap.objects.count() == 2


def test_an_open_stopgap_on_a_controller_that_stands_alone_is_remarked_on() -> None:
    preview = check(
        *base(
            controllers="property code,controller,central\nElm,A,not meant to be linked\n",
            stopgaps=STOPGAPS + "reason\nElm,A,1,timer,2025-02-01,,,,wire\n",
        )
    )
    assert preview.can_load
    assert "not meant to be linked" in words(preview)


def test_schedules_read_days_and_starts_as_people_write_them() -> None:
    load(
        *base(
            schedules="property code,controller,station number,from,days,starts,minutes\n"
            'Elm,A,1,2025-01-01,"Monday, wed & FRI",4:30;6.15pm,12\nElm,A,2,2025-01-01,daily,,8\n'
        )
    )
    assert list(Schedule.objects.order_by("pk").values_list("days", "starts")) == [
        ("Mon Wed Fri", "04:30;18:15"),
        ("every 1", ""),
    ]


def test_climate_takes_months_of_every_year_months_and_days() -> None:
    text = (
        "property code,month,eto (mm),source\nElm,7,200,mean\nValley,2025-03,100,station\n"
        "Elm,2025-03-02,5,station\n"
    )
    load(*base(climate=text))
    rows = ClimateRow.objects.order_by("pk").values_list("table", "year", "month", "day")
    assert list(rows) == [
        ("Elm", None, 7, None),
        ("Valley", 2025, 3, None),
        ("Elm", 2025, 3, 2),
    ]
    assert counts(load(*base(climate=text)))["climate"] == (0, 0, 3)


def test_first_days_of_months_are_months_beside_long_term_ones_too() -> None:
    text = (
        "property code,month,eto,source\nValley,2025-03-01,4,station\nValley,2025-04-01,5,station\n"
        "Valley,7,8,mean\n"
    )
    load(*base(climate=text))
    rows = ClimateRow.objects.order_by("pk").values_list("year", "month", "day")
    assert list(rows) == [(2025, 3, None), (2025, 4, None), (None, 7, None)]


def test_the_list_of_the_central_system_is_left_alone() -> None:
    preview = load(*base(on_central="controller,station number,enabled\nA,1,yes\n"))
    assert "compared, not loaded" in words(preview)


def test_a_required_column_that_is_missing_is_a_problem_of_the_sheet() -> None:
    preview = check(sheet("legs", "property code,leg,from point,to point\nElm,L1,A,S1\n"))
    assert told(preview) == [("legs", 1, "length", "")]


def test_files_without_any_list_of_the_register_say_so() -> None:
    preview = check(sheet("letter", "Dear,all\nplease,call\n"))
    assert "No sheet was recognised" in words(preview)
    assert not preview.can_load


@pytest.mark.parametrize(
    ("first", "second", "asks"),
    [
        (",battery timer", ",battery timer", True),
        ("2025-06-01,battery timer", ",battery timer", False),
        ("2025-06-02,battery timer", ",battery timer", True),
        (",central", ",battery timer", False),
        (",central", ",controller", True),
    ],
)
def test_two_schedules_on_the_same_days_are_asked_about(
    first: str, second: str, asks: bool
) -> None:
    preview = check(
        *base(
            schedules="property code,controller,station number,from,to,run by,days,minutes\n"
            f"Elm,A,1,2025-01-01,{first},every 1,10\nElm,A,1,2025-06-01,{second},every 1,20\n"
        )
    )
    assert ("Are both meant?" in words(preview)) is asks
