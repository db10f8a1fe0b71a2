"""What is learned from a past, and what follows: by hand, and as it must be for any company."""

import numpy as np
import pytest

from reports.ahead.engines.forecast import Ahead, Change, Known, learn, look_ahead
from reports.ahead.engines.past import Past
from reports.ahead.engines.queue import NEVER, Played
from tests.bench import bench_forecast
from tests.bench.companies import company


def past(
    off: list[float], back: list[float], *, event: list[int] | None = None, since: float = -700
) -> Past:
    events = np.arange(len(off)) if event is None else np.array(event)
    return Past(np.array(off, float), np.array(back, float), events, np.zeros(len(off), int),
                since, 0.0)  # fmt: skip


def test_what_was_known_on_a_past_day() -> None:
    now = past([-100, -50, -10, -400], [-20, NEVER, -1, -90])
    then = now.known_on(-60)
    assert then.off_on.tolist() == [-40, -340]
    assert then.back_on.tolist() == [NEVER, -30]
    assert (then.since, then.year_day) == (-640, pytest.approx(365.25 - 60))
    assert [now.off(day) for day in (-101, -100, -50, -21, -20, -10, -1, 0)] == [
        1, 2, 2, 2, 1, 2, 1, 1]  # fmt: skip
    assert (now.returned(20), now.returned(20.5), now.old(-91)) == (1, 2, 0)
    assert past([-400], [NEVER]).old(-34) == 1


def test_what_goes_off_together_is_one_event() -> None:
    seen = past([-100, -100, -50, -800], [NEVER] * 4, event=[7, 7, 3, 1])
    assert sorted(len(each) for each in seen.events) == [1, 2]
    shape, years = seen.rates
    assert shape.sum() - 12 * (shape.min()) == pytest.approx(2)
    assert years.sum() / 12 == pytest.approx(700 / 365.25 + 0.5, abs=0.01)


def test_a_past_has_to_be_whole() -> None:
    with pytest.raises(ValueError, match="equal lengths"):
        Past(np.zeros(2), np.zeros(1), np.zeros(2), np.zeros(2), -10, 0)
    with pytest.raises(ValueError, match="since"):
        past([], [], since=1)


def test_too_little_says_nothing() -> None:
    rng = np.random.default_rng(1)
    four = past([-60, -50, -40, -30], [-20, -19, -18, -17])
    assert learn(four, rng) is None
    five = past([-60, -50, -40, -30, -30], [-20, -19, -18, -17, -16])
    assert learn(five, rng) is not None
    assert learn(past([-60] * 5, [-20] * 5, since=-89), rng) is None
    assert learn(past([-60] * 5, [-20] * 5, since=-90), rng) is not None


@pytest.fixture(scope="module")
def known() -> tuple[Past, Ahead]:
    """A company, and its coming year."""
    seen = company(4).past
    learned = learn(seen, np.random.default_rng(4))
    assert learned is not None
    return seen, look_ahead(seen, learned, weeks=53, seed=9)


def test_today_is_what_is_off_today(known: tuple[Past, Ahead]) -> None:
    seen, ahead = known
    assert set(ahead.band(0)) == {float(seen.open.sum())}


def test_bands_lie_in_order_and_widen(known: tuple[Past, Ahead]) -> None:
    _seen, ahead = known
    near, far = ahead.band(14), ahead.band(180)
    assert list(near) == sorted(near)
    assert list(far) == sorted(far)
    assert far[4] - far[0] >= near[4] - near[0] > 0
    assert ahead.chance_at_most(180, far[4]) >= 0.95
    assert ahead.chance_at_most(180, -1) == 0


def test_one_more_crew_and_faster_answers_help(known: tuple[Past, Ahead]) -> None:
    seen, _ahead = known
    learned = learn(seen, np.random.default_rng(4))
    assert learned is not None
    stations = int(seen.open.sum())
    facts = Known(np.ones(stations), np.full(stations, np.nan), np.array([20.0, 40.0]), 0.8)

    def days(change: Change) -> float:
        ahead = look_ahead(seen, learned, weeks=53, seed=9, known=facts, change=change)
        return float(ahead.played.days_off(365).mean())

    now = days(Change())
    assert days(Change(more_returns=1.5)) < now
    assert days(Change(answers=0.5)) < now
    assert days(Change()) == now


def test_short_and_worthy_first_leaves_fewer_days_off() -> None:
    """A backlog of 40, half of them ten times the work of the others."""
    seen = past([-80.0] * 40 + [-90.0 - n for n in range(40)],
                [NEVER] * 40 + [-1.0 - 2 * n for n in range(40)])  # fmt: skip
    learned = learn(seen, np.random.default_rng(2))
    assert learned is not None
    work = np.array([0.2, 2.0] * 20)
    facts = Known(work, np.ones(40), np.zeros(0), 0.0)

    def days(change: Change) -> float:
        ahead = look_ahead(seen, learned, weeks=30, seed=1, known=facts, change=change)
        return float(ahead.played.days_off(200).mean())

    assert days(Change(by_worth=True)) < days(Change())


def test_none_older_than_a_year_is_left_by_a_day() -> None:
    """Four plays: at the end of week 1, 2, 2, and never."""
    off = np.full((4, 1), -400.0)
    ends = np.array([[3.0], [8.0], [14.0], [NEVER]])
    ahead = Ahead(Played(off, ends, np.zeros((4, 1))), 4)
    assert ahead.none_old_by(0.25) == 7
    assert ahead.none_old_by(0.5) == 14
    assert ahead.none_old_by(0.75) == 14
    assert ahead.none_old_by(0.76) is None


def test_nothing_off_and_nothing_to_come_stays_so() -> None:
    seen = past([-300.0 - n for n in range(6)], [-200.0 - n for n in range(6)], since=-310)
    learned = learn(seen, np.random.default_rng(0))
    assert learned is not None
    ahead = look_ahead(seen, learned, weeks=10, seed=0)
    assert ahead.band(0) == (0, 0, 0, 0, 0)
    assert ahead.none_old_by() == 0


def test_bands_hold_on_companies_whose_truth_is_known() -> None:
    """12 companies, 48 forecasts; the bar of all 400 is in `.ci/long forecast`.

    An honest 90 % band of forecasts that hang together four by four holds 38 to 48 of 48 times.
    """
    held = list(bench_forecast.held(12, 300))
    inside = sum(one.ours.low <= one.came <= one.ours.high for one in held)
    assert len(held) == 48
    assert 38 <= inside <= 48
