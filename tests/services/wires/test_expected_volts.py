"""Expected volts, transformer's load, and the setting that overrides limits and amperes."""

from typing import Any

import pytest
from django.core.exceptions import ImproperlyConfigured

from faults.models import ReadingKind
from faults.readings.services.judging import judge_value
from sites.models import Controller, Wiring
from sites.wires.engines.alone import Amperes
from sites.wires.engines.judge import Judgement, Thresholds
from sites.wires.engines.warmth import Warmth
from sites.wires.services.expected import Expected
from sites.wires.services.expected_volts import expected_load, expected_volts
from sites.wires.services.reading_limits import amperes, thresholds

O1 = Expected(1, 500.0, 6.385, 50.385)


def test_an_output_that_was_never_measured_is_taken_as_24_and_told() -> None:
    found = expected_volts(O1, Controller())
    assert found is not None
    assert (found.volts_out, found.is_output_known) == (24.0, False)
    assert found.at_valve.holding == pytest.approx(24 - 6.385 * 0.25)
    assert found.at_valve.starting == pytest.approx(24 - 6.385 * 0.4)


def test_a_measured_output_counts() -> None:
    found = expected_volts(O1, Controller(output_volts=26.0))
    assert found is not None
    assert (found.volts_out, found.is_output_known) == (26.0, True)


@pytest.mark.parametrize("wire_ohms", [None, 500.0])
def test_without_wire_ohms_that_can_be_there_are_no_volts(wire_ohms: float | None) -> None:
    assert expected_volts(Expected(1, 500.0, wire_ohms), Controller()) is None


def test_a_two_wire_path_has_no_load_of_valves() -> None:
    assert expected_load(Controller(wiring=Wiring.TWO_WIRE)) is None


def test_the_load_stands_beside_the_nameplate() -> None:
    found = expected_load(Controller(transformer_va=12.0))
    assert found is not None
    assert (found.load.transformer_va, found.load.is_too_much) == (12.0, True)


def test_the_settings_as_they_come_are_the_defaults() -> None:
    assert (thresholds(), amperes()) == (Thresholds(), Amperes())


def test_a_setting_overrides_one_limit_and_leaves_the_rest(settings: Any) -> None:
    settings.READING_LIMITS = {"band": 0.05, "holding_amperes": 0.2}
    assert thresholds() == Thresholds(band=0.05)
    assert amperes() == Amperes(holding_amperes=0.2)


def test_readings_are_judged_by_the_setting(settings: Any) -> None:
    def judgement() -> Judgement:
        return judge_value(ReadingKind.OHMS, 55.0, O1, None, Warmth(20.0, 20.0, 2.0)).judgement

    assert judgement() is Judgement.FINE
    settings.READING_LIMITS = {"band": 0.05}
    assert judgement() is Judgement.PARTIAL


def test_a_limit_that_nothing_reads_is_refused(settings: Any) -> None:
    settings.READING_LIMITS = {"bend": 0.05}
    with pytest.raises(ImproperlyConfigured, match="bend"):
        thresholds()


@pytest.mark.parametrize(
    ("known", "valves"),
    [
        ({}, 1),
        ({"coils": (44.0,)}, 1),
        ({"coils": (44.0, 22.0)}, 2),
        ({"serves": 2}, 2),
        ({"serves": 2, "coils": (44.0, 44.0, 22.0)}, 3),
    ],
)
def test_all_valves_on_a_wire_draw_at_once(known: dict[str, Any], valves: int) -> None:
    found = expected_volts(Expected(1, 500.0, 6.385, **known), Controller())
    assert found is not None
    # By hand: 0.25 A each as they hold, on 6.385 ohms of wire, from 24 V.
    assert found.at_valve.holding == pytest.approx(24 - 6.385 * 0.25 * valves)
    assert found.amperes.starting_amperes == pytest.approx(0.4 * valves)
