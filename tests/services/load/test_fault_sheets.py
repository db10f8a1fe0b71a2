"""Sheets faults, breaks and readings: what each makes, and what each refuses."""

from datetime import date

import pytest

from faults.models import Break, Fault, FaultStation, Reading, StageMove
from sites.models import Wire
from tests.services.load import GROUND, base, changes, check, counts, load, told

pytestmark = pytest.mark.django_db


SHOWS = "property code,fault key,reported,symptom,runs with,stations\n"


def test_each_symptom_is_read_by_its_own_word_and_as_people_say_it() -> None:
    words = ["stays on", "stuck open", "runs with another", "several weak"]
    rows = [f"Elm,F{n},2025-01-0{n + 1},{word},,A:1\n" for n, word in enumerate(words)]
    load(*base(faults=SHOWS + "".join(rows)))
    kept = Fault.objects.order_by("key").values_list("symptom", flat=True)
    assert list(kept) == ["stays on", "stays on", "runs with another", "several weak"]


def test_the_other_station_is_found_kept_and_taken_back_with_its_symptom() -> None:
    load(*base(faults=SHOWS + "Elm,F1,2025-01-05,runs with another,A:2,A:1\n"))
    assert str(Fault.objects.get().runs_with) == "A:2"
    load(*base(faults=SHOWS + "Elm,F1,2025-01-05,open,,A:1\n"))
    assert Fault.objects.get().runs_with is None


def test_an_other_station_that_is_none_or_that_no_other_symptom_has_is_refused() -> None:
    unknown = check(*base(faults=SHOWS + "Elm,F1,2025-01-05,runs with another,A:77,A:1\n"))
    assert told(unknown) == [("faults", 2, "E runs with", "A:77")]
    alone = check(*base(faults=SHOWS + "Elm,F1,2025-01-05,open,A:2,A:1\n"))
    assert told(alone) == [("faults", 2, "E runs with", "A:2")]
    assert not Fault.objects.exists()


TIMES = "property code,fault key,reported,stations,promised by,promised from,promised until\n"


def test_promised_times_are_read_changed_and_refused_where_they_cannot_be() -> None:
    load(*base(faults=TIMES + "Elm,F1,2025-01-05,A:1,2025-01-07,8:00,10:30\n"))
    assert Fault.objects.get().promised_hours() == "08:00–10:30"
    load(*base(faults=TIMES + "Elm,F1,2025-01-05,A:1,2025-01-07,09:00,\n"))
    assert Fault.objects.get().promised_hours() == "09:00–10:30"
    for cells, at in (
        ("2025-01-07,10:30,", "G promised until"),
        ("2025-01-07,soon,", "F promised from"),
    ):
        found = told(check(*base(faults=TIMES + f"Elm,F1,2025-01-05,A:1,{cells}\n")))
        assert [each[2] for each in found] == [at]
    found = told(check(*base(faults=TIMES + "Elm,F2,2025-01-05,A:2,,08:00,10:00\n")))
    assert [each[2] for each in found] == ["G promised until"]


def test_a_fault_shows_its_stage_and_each_station_has_its_first_move() -> None:
    text = (
        "property code,fault key,reported,symptom,stations,stage,closed,how returned\n"
        "Elm,F1,2025-01-05,open,A:1;A:2,returned,2025-02-01,new wire\n"
    )
    load(*base(faults=text))
    fault = Fault.objects.get()
    assert (fault.stage, fault.closed_on) == ("returned", date(2025, 2, 1))
    assert set(FaultStation.objects.values_list("stage", "how_returned")) == {
        ("returned", "new wire")
    }
    assert set(StageMove.objects.values_list("from_stage", "to_stage", "on")) == {
        ("", "returned", date(2025, 2, 1))
    }


def test_a_fault_that_goes_on_gets_a_move_for_each_station() -> None:
    text = "property code,fault key,reported,stations,stage\nElm,F1,2025-01-05,A:1,{}\n"
    load(*base(faults=text.format("found")))
    preview = load(*base(faults=text.format("agreed")))
    assert changes(preview) == [("stage", "found", "agreed")]
    assert Fault.objects.get().stage == "agreed"
    assert list(StageMove.objects.order_by("pk").values_list("from_stage", "to_stage")) == [
        ("", "found"),
        ("found", "agreed"),
    ]


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ("found,2025-02-01,", "closed"),
        ("returned,2024-02-01,", "closed"),
        ("found,,new wire", "how returned"),
    ],
)
def test_a_fault_that_contradicts_itself_is_refused(cells: str, column: str) -> None:
    heads = "property code,fault key,reported,stations,stage,closed,how returned"
    preview = check(*base(faults=f"{heads}\nElm,F1,2025-01-05,A:1,{cells}\n"))
    assert [where[2].split(" ", 1)[1] for where in told(preview)] == [column]


def test_a_break_is_kept_at_its_feet_with_its_wires() -> None:
    more = {
        "faults": "property code,fault key,reported,stations\nElm,F1,2025-01-05,A:1\n",
        "breaks": "fault key,leg,feet,from point,found,cause,wires\n"
        "F1,L2,30,V1,2025-01-09,gopher,A-1 hot; A common\n",
    }
    load(*base(**GROUND, **more))
    found = Break.objects.get()
    assert (str(found.leg), found.feet_along, str(found.from_point)) == ("L2", 30.0, "V1")
    assert {wire.name for wire in found.wires.all()} == {"A-1 hot", "A common"}
    assert counts(load(*base(**GROUND, **more)))["breaks"] == (0, 0, 1)


def test_a_break_that_cannot_be_is_refused() -> None:
    more = {
        "faults": "property code,fault key,reported,stations\nElm,F1,2025-01-05,A:1\n",
        "breaks": "fault key,leg,feet,from point,found,cause,wires,mended\n"
        "F1,L2,90,V2,2025-01-09,gopher,B-9 hot,2025-01-02\n",
    }
    preview = check(*base(**GROUND, **more))
    assert [where[2] for where in told(preview)] == [
        "C feet",
        "D from point",
        "H mended",
        "G wires",
    ]


def test_a_reading_keeps_the_wire_of_its_station_and_comes_once() -> None:
    text = (
        "property code,controller,station number,taken,kind,value,point,loaded,temperature\n"
        "Elm,A,1,2025-02-01,ohms,32,A,no,20 °C\nElm,A,1,2025-02-01,insulation,500 kohm,,,\n"
    )
    load(*base(**GROUND, readings=text))
    ohms, insulation = Reading.objects.order_by("pk")
    assert (ohms.wire, ohms.temperature_f) == (Wire.objects.get(name="A-1 hot"), 68.0)
    assert insulation.value == 0.5
    assert counts(load(*base(**GROUND, readings=text)))["readings"] == (0, 0, 2)
