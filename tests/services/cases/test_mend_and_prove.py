"""Mending and proving: how, on which break, and the whole list before a station is proven."""

from datetime import timedelta
from typing import Any

import pytest

from faults.cases.engines.stages import Stage
from faults.cases.services.told import Measured, Mending, Proving
from faults.models import Fault, Proof, Reading, StageMove
from tests import make
from tests.services.cases.scene import (
    TO_PROVEN,
    TODAY,
    Scene,
    move,
    refused,
    reported,
    walked_to,
)

pytestmark = pytest.mark.django_db


def _found(scene: Scene) -> Fault:
    return walked_to(scene, reported(scene), Stage.FOUND)


def test_mending_without_a_yes_is_for_what_nobody_had_to_dig(scene: Scene) -> None:
    fault = _found(scene)
    no = refused(scene, fault, Stage.MENDED, "Nobody has agreed", facts=Mending("two splices"))
    assert no.field == "nothing_was_dug"
    move(scene, fault, Stage.MENDED)
    assert fault.stage == "mended"


def test_mending_needs_how(scene: Scene) -> None:
    told = Mending(" ", nothing_was_dug=True)
    assert refused(scene, _found(scene), Stage.MENDED, "How was it", facts=told).field == "how"


def test_mending_is_kept_on_the_breaks_with_the_agreed_warranty(scene: Scene) -> None:
    fault = reported(scene)
    one = make.break_found(fault=fault)
    walked_to(scene, fault, Stage.FOUND)
    told = Mending("two splices", [one], nothing_was_dug=True)
    move(scene, fault, Stage.MENDED, facts=told)
    one.refresh_from_db()
    assert (one.mended_on, one.how_mended) == (TODAY, "two splices")
    assert one.warranty_until == TODAY + timedelta(days=365)
    assert StageMove.objects.latest("pk").why == "two splices"


def test_a_break_is_not_mended_twice(scene: Scene) -> None:
    fault = _found(scene)
    one = make.break_found(fault=fault, mended_on=TODAY)
    told = Mending("again", [one], nothing_was_dug=True)
    refused(scene, fault, Stage.MENDED, "mended already", facts=told)


def _mended(scene: Scene, **given: Any) -> Fault:
    return walked_to(scene, reported(scene, **given), *TO_PROVEN[:3])


def test_a_proof_keeps_its_readings_on_the_stations(scene: Scene) -> None:
    fault = walked_to(scene, _mended(scene), Stage.PROVEN)
    assert Proof.objects.filter(fault_station__fault=fault).count() == 2
    volts = Reading.objects.filter(kind="volts").first()
    assert volts is not None
    assert (volts.value, volts.is_loaded, volts.taken_on) == (24.0, True, TODAY)


def _proving(fault: Fault, *, minutes: int = 5, seen: bool = True, **read: Any) -> Proving:
    measured = Measured(**{"volts": 24.0, "ohms": 30.0, **read})
    return Proving({row.pk: measured for row in fault.stations.all()}, minutes, seen)


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"volts": None}, "enter the volts with the coil running"),
        ({"ohms": None}, "enter the ohms"),
        ({"minutes": 0}, "Run it from central"),
        ({"seen": False}, "see the valve open and shut"),
        ({"volts": 12.0}, "unusual"),
    ],
)
def test_proven_asks_for_the_whole_list(scene: Scene, told: dict[str, Any], words: str) -> None:
    fault = _mended(scene)
    refused(scene, fault, Stage.PROVEN, words, facts=_proving(fault, **told))
    assert Reading.objects.count() == 0


def test_unusual_readings_pass_with_words(scene: Scene) -> None:
    fault = _mended(scene)
    move(scene, fault, Stage.PROVEN, facts=_proving(fault, ohms=12.0), why="two coils on one wire")
    assert fault.stage == "proven"


def test_a_leak_is_proven_by_its_insulation_too(scene: Scene) -> None:
    fault = _mended(scene, symptom="leak to earth")
    refused(scene, fault, Stage.PROVEN, "insulation", facts=_proving(fault))
    move(scene, fault, Stage.PROVEN, facts=_proving(fault, megohms=50.0))
    assert fault.stage == "proven"


def test_still_dead_after_the_mend_goes_back_to_found(scene: Scene) -> None:
    fault = _mended(scene)
    move(scene, fault, Stage.FOUND, why="dead again", facts=None)
    assert fault.stage == "found"
