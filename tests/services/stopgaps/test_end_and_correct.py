"""Ending a stopgap, reopening it, putting it right, noting what was learnt."""

from datetime import date

import pytest

from sites.kernel.services.verb_days import UnableToCorrect, UnableToUseDay
from sites.stopgaps.services.stopgap_rules import UnableToFit, UnableToFitBesideAnother
from sites.stopgaps.services.stopgaps import (
    UnableToEnd,
    UnableToReopen,
    correct_stopgap,
    end_stopgaps,
    facts_of,
    note_on_stopgap,
    reopen_stopgap,
)
from tests import make
from tests.services.stopgaps.given import DAY, TODAY, day, history, spells

pytestmark = pytest.mark.django_db


def test_ending_closes_the_spell_and_keeps_why() -> None:
    stopgap = make.stopgap(on=DAY)
    end_stopgaps(stopgaps=[stopgap], on=day(9), why=" mended ", today=TODAY)
    assert spells(stopgap.station) == [(DAY, day(9))]
    assert stopgap.end_reason == "mended"
    assert [kind for kind, _ in history(stopgap)] == ["+", "~"]


def test_all_valves_of_a_device_end_in_one_visit() -> None:
    timer = make.device()
    clock = make.controller(property=timer.property)
    pair = [
        make.stopgap(station=make.station(controller=clock), on=DAY, device=timer) for _ in "ab"
    ]
    end_stopgaps(stopgaps=pair, on=day(9), why="mended", today=TODAY)
    assert [spells(each.station) for each in pair] == [[(DAY, day(9))]] * 2


def test_ending_refuses_a_day_before_the_fitting() -> None:
    with pytest.raises(UnableToFit, match="at the earliest"):
        end_stopgaps(stopgaps=[make.stopgap(on=day(5))], on=DAY, why="mended", today=TODAY)


def test_ending_refuses_a_day_before_it_was_seen() -> None:
    seen = make.stopgap(fitted_earliest=None, fitted_latest=None, first_seen_on=day(5))
    with pytest.raises(UnableToFit, match="seen standing"):
        end_stopgaps(stopgaps=[seen], on=DAY, why="mended", today=TODAY)


def test_ending_refuses_a_day_to_come_no_reason_and_a_second_end() -> None:
    stopgap = make.stopgap(on=DAY)
    with pytest.raises(UnableToUseDay):
        end_stopgaps(stopgaps=[stopgap], on=date(2026, 1, 1), why="mended", today=TODAY)
    with pytest.raises(UnableToEnd, match="why"):
        end_stopgaps(stopgaps=[stopgap], on=day(9), why=" ", today=TODAY)
    end_stopgaps(stopgaps=[stopgap], on=day(9), why="mended", today=TODAY)
    with pytest.raises(UnableToEnd, match="already"):
        end_stopgaps(stopgaps=[stopgap], on=day(9), why="mended", today=TODAY)


def test_reopening_undoes_the_end() -> None:
    stopgap = make.stopgap(on=DAY)
    end_stopgaps(stopgaps=[stopgap], on=day(9), why="mended", today=TODAY)
    reopen_stopgap(stopgap=stopgap, why="wrong valve")
    assert spells(stopgap.station) == [(DAY, None)]
    assert (stopgap.removed_on, stopgap.end_reason) == (None, "")
    assert history(stopgap)[-1] == ("~", "was wrong: wrong valve")


def test_reopening_refuses_one_that_stands() -> None:
    with pytest.raises(UnableToReopen, match="nothing to reopen"):
        reopen_stopgap(stopgap=make.stopgap(), why="x")


def test_reopening_refuses_beside_a_later_one() -> None:
    ended = make.stopgap(on=DAY, removed_on=day(9))
    make.stopgap(station=ended.station, on=day(12))
    with pytest.raises(UnableToReopen, match="another stopgap since 2025-03-13"):
        reopen_stopgap(stopgap=ended, why="still there")


def test_reopening_refuses_on_a_retired_station() -> None:
    ended = make.stopgap(on=DAY, removed_on=day(9), station=make.station(retired_on=day(20)))
    with pytest.raises(UnableToFit, match="Bring it back"):
        reopen_stopgap(stopgap=ended, why="still there")


def test_correcting_keeps_the_old_value_and_why() -> None:
    stopgap = make.stopgap(on=DAY, reason="not known")
    facts = facts_of(stopgap, fitted=(day(2), day(2)), reason="wire")
    correct_stopgap(stopgap=stopgap, facts=facts, why="misread the tag", today=TODAY)
    assert spells(stopgap.station) == [(day(2), None)]
    assert history(stopgap)[-1] == ("~", "was wrong: misread the tag")
    assert stopgap.history.order_by("history_id")[0].fitted_latest == DAY


def test_correcting_is_undone_by_correcting_again() -> None:
    stopgap = make.stopgap(on=DAY)
    before = facts_of(stopgap)
    wrong = facts_of(stopgap, kind="shut off", fitted=(day(2), day(2)))
    correct_stopgap(stopgap=stopgap, facts=wrong, why="x", today=TODAY)
    correct_stopgap(stopgap=stopgap, facts=before, why="it was right", today=TODAY)
    stopgap.refresh_from_db()
    assert facts_of(stopgap) == before


def test_correcting_needs_words_and_refuses_the_days_of_another() -> None:
    first = make.stopgap(on=DAY, removed_on=day(9))
    second = make.stopgap(station=first.station, on=day(9))
    with pytest.raises(UnableToCorrect):
        correct_stopgap(stopgap=second, facts=facts_of(second), why="", today=TODAY)
    early = facts_of(second, fitted=(day(3), day(3)))
    with pytest.raises(UnableToFitBesideAnother):
        correct_stopgap(stopgap=second, facts=early, why="x", today=TODAY)


def test_correcting_a_kind_to_surface_wire_ends_the_spell() -> None:
    stopgap = make.stopgap(on=DAY)
    facts = facts_of(stopgap, kind="surface wire", accepted_by_client_on=DAY)
    correct_stopgap(stopgap=stopgap, facts=facts, why="it is a wire", today=TODAY)
    assert spells(stopgap.station) == []


def test_disabled_in_central_can_be_noted_later_and_taken_back() -> None:
    stopgap = make.stopgap(on=DAY)
    told = {"accepted_by_client_on": None, "agreed_until": None, "notes": "by phone"}
    note_on_stopgap(stopgap=stopgap, disabled_in_central_on=day(4), **told, today=TODAY)
    assert (stopgap.disabled_in_central_on, stopgap.notes) == (day(4), "by phone")
    note_on_stopgap(stopgap=stopgap, disabled_in_central_on=None, **told, today=TODAY)
    stopgap.refresh_from_db()
    assert stopgap.disabled_in_central_on is None
    assert len(history(stopgap)) == 3


def test_noting_refuses_a_day_to_come() -> None:
    with pytest.raises(UnableToUseDay):
        note_on_stopgap(
            stopgap=make.stopgap(),
            disabled_in_central_on=date(2026, 1, 1),
            accepted_by_client_on=None,
            agreed_until=None,
            notes="",
            today=TODAY,
        )
