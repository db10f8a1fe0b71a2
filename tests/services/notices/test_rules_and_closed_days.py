"""Rules and closed days: only a confirmed rule counts, and who ticks knows."""

from datetime import date, time
from typing import Any

import pytest

from faults.models import ClosedDays, NoticeRule
from faults.notices.services.closed import (
    UnableToKeepClosedDays,
    add_day,
    add_years,
    change_closed_days,
    days_from_library,
    make_closed_days,
    tick_days,
)
from faults.notices.services.rules import (
    UnableToKeepRule,
    add_rule,
    change_rule,
    confirm_rule,
    take_back_confirmation,
)
from faults.notices.services.templates import STARTS, start_named
from faults.notices.services.terms import terms_of
from sites.kernel.services.verb_days import UnableToUseDay
from tests import make, make_notices

pytestmark = pytest.mark.django_db

DAY = date(2025, 6, 10)


def values(**given: Any) -> dict[str, Any]:
    """What the form hands on for a rule."""
    usual = {
        "region": "Ohio",
        "source_url": "the centre",
        "source_date": DAY,
        "wait_n": 2,
        "wait_unit": "working day",
        "count_notice_day": False,
        "closed_day_starts_next": True,
        "saturday_clears_at": None,
        "day_start": time(7),
        "day_end": time(17),
        "closed_days": None,
        "max_ahead_n": 14,
        "max_ahead_unit": "calendar day",
        "life_n": 20,
        "life_unit": "calendar day",
        "life_from": "start",
        "renew_before_n": 2,
        "tolerance_in": 18.0,
        "needs_positive_response": True,
        "text_note": "",
    }
    return {**usual, **given}


def test_a_new_rule_is_not_confirmed_and_can_be_counted_with() -> None:
    rule = add_rule(values=values(region="  New   York "))
    assert (rule.region, rule.confirmed_on) == ("New York", None)
    assert terms_of(rule).wait_n == 2


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"region": " "}, "region"),
        ({"region": "OHIO "}, "region"),
        ({"region": "Utah", "wait_n": 0}, "wait_n"),
        ({"region": "Utah", "day_end": time(7)}, "day_end"),
        ({"region": "Utah", "life_unit": "hour"}, "life_unit"),
        ({"region": "Utah", "max_ahead_unit": "hour"}, "max_ahead_unit"),
        ({"region": "Utah", "renew_before_n": 20}, "renew_before_n"),
        ({"region": "Utah", "saturday_clears_at": time(12)}, "saturday_clears_at"),
    ],
)
def test_a_rule_that_cannot_be_counted_with_is_refused(given: dict[str, Any], field: str) -> None:
    make_notices.rule(region="Ohio")
    with pytest.raises(UnableToKeepRule) as refusal:
        add_rule(values=values(**given))
    assert refusal.value.field == field
    assert NoticeRule.objects.count() == 1


def test_changing_a_number_takes_the_confirmation_back_and_a_note_does_not() -> None:
    owner = make.user()
    rule = add_rule(values=values(closed_days=make_notices.closed_days()))
    confirm_rule(rule=rule, by=owner, on=DAY, today=DAY)
    same = values(closed_days=rule.closed_days)
    assert change_rule(rule=rule, values={**same, "text_note": "spoke to Bea"}) is False
    assert (rule.confirmed_by, rule.confirmed_on) == (owner, DAY)
    assert change_rule(rule=rule, values={**same, "wait_n": 3}) is True
    rule.refresh_from_db()
    assert (rule.confirmed_by, rule.confirmed_on) == (None, None)


def test_confirming_asks_for_a_source_and_for_the_closed_days_of_the_year() -> None:
    owner = make.user()
    rule = add_rule(values=values(source_url=""))
    with pytest.raises(UnableToKeepRule, match="its source"):
        confirm_rule(rule=rule, by=owner, on=DAY, today=DAY)
    rule.source_url = "the centre"
    rule.save()
    with pytest.raises(UnableToKeepRule, match="choose its set of closed days"):
        confirm_rule(rule=rule, by=owner, on=DAY, today=DAY)
    rule.closed_days = make_notices.closed_days(years=(2024,))
    rule.save()
    with pytest.raises(UnableToKeepRule, match="lists no day of 2025"):
        confirm_rule(rule=rule, by=owner, on=DAY, today=DAY)
    with pytest.raises(UnableToUseDay):
        confirm_rule(rule=rule, by=owner, on=date(2025, 6, 11), today=DAY)
    rule.wait_unit = "calendar day"
    rule.save()
    confirm_rule(rule=rule, by=owner, on=DAY, today=DAY)
    with pytest.raises(UnableToKeepRule, match="confirmed on 2025-06-10 already"):
        confirm_rule(rule=rule, by=owner, on=DAY, today=DAY)


def test_a_confirmation_is_taken_back_once() -> None:
    rule = make_notices.rule()
    take_back_confirmation(rule=rule, why="they changed it")
    assert rule.confirmed_on is None
    assert rule.history.first().history_change_reason == "they changed it"
    with pytest.raises(UnableToKeepRule, match="not confirmed"):
        take_back_confirmation(rule=rule, why="again")


def test_the_starts_name_their_source_and_fill_in_only_what_was_read() -> None:
    assert [each.region for each in STARTS if not each.source] == []
    nebraska = start_named("nebraska")
    assert nebraska is not None
    assert "wait_n" not in nebraska.initial()
    assert start_named("nowhere") is None


def test_the_library_ticks_the_days_of_the_whole_country_only() -> None:
    found = {name: is_of_all for _day, name, is_of_all in days_from_library("US", "CA", [2026])}
    assert found["Thanksgiving Day"] is True
    assert [name for name, is_of_all in found.items() if not is_of_all] != []
    days = {day for day, _name, _all in days_from_library("US", "", [2026])}
    assert {date(2026, 7, 3), date(2026, 11, 26)} <= days
    assert date(2026, 11, 27) not in days


def test_a_set_is_seeded_ticked_and_kept() -> None:
    kept = make_closed_days(
        name=" Cal  centre ", country="US", subdivision="CA", weekend="65", years=[2026]
    )
    assert (kept.name, kept.weekend) == ("Cal centre", "56")
    friday = kept.days.get(on=date(2026, 11, 27))
    assert friday.is_closed is False
    closed = [*kept.days.filter(is_closed=True).values_list("pk", flat=True), friday.pk]
    assert tick_days(kept=kept, closed=closed) == 1
    friday.refresh_from_db()
    assert friday.is_closed is True
    assert tick_days(kept=kept, closed=closed) == 0
    assert add_years(kept=kept, years=[2027]) > 8
    with pytest.raises(UnableToKeepClosedDays, match="are listed"):
        add_years(kept=kept, years=[2027])


def test_a_day_is_added_by_hand_once() -> None:
    kept = make_notices.closed_days()
    assert add_day(kept=kept, on=DAY, name=" picnic ").name == "picnic"
    with pytest.raises(UnableToKeepClosedDays, match="in the set already"):
        add_day(kept=kept, on=DAY, name="picnic")
    with pytest.raises(UnableToKeepClosedDays, match="What day"):
        add_day(kept=kept, on=date(2025, 6, 11), name=" ")


def test_days_of_another_set_are_not_ticked() -> None:
    kept, other = make_notices.closed_days(), make_notices.closed_days()
    with pytest.raises(UnableToKeepClosedDays, match="not of this set"):
        tick_days(kept=kept, closed=[other.days.first().pk])


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": " "}, "name"),
        ({"name": "KNOWN"}, "name"),
        ({"country": "XX"}, "country"),
        ({"subdivision": "ZZ"}, "subdivision"),
        ({"weekend": "0123456"}, "weekend"),
        ({"years": []}, "years"),
        ({"years": [1900]}, "years"),
    ],
)
def test_a_set_that_cannot_be_is_refused(given: dict[str, Any], field: str) -> None:
    make_notices.closed_days(name="Known")
    usual = {"name": "New", "country": "US", "subdivision": "", "weekend": "56", "years": [2026]}
    with pytest.raises(UnableToKeepClosedDays) as refusal:
        make_closed_days(**{**usual, **given})
    assert refusal.value.field == field
    assert ClosedDays.objects.count() == 1


def test_a_set_is_renamed() -> None:
    kept = make_notices.closed_days(name="Old")
    change_closed_days(kept=kept, name="New", weekend="6")
    kept.refresh_from_db()
    assert (kept.name, kept.weekend) == ("New", "6")
