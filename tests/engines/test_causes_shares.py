"""Shares of causes, against printed intervals."""

import pytest
from statsmodels.stats.proportion import multinomial_proportions_confint

from reports.hotspots.engines.causes import leader, share, simultaneous_shares

# statsmodels' results file "from the Sison & Glaz paper".
SEVEN = [56, 72, 73, 59, 62, 87, 58]
GOODMAN = [
    (0.085, 0.166),
    (0.115, 0.204),
    (0.116, 0.207),
    (0.091, 0.173),
    (0.096, 0.181),
    (0.143, 0.239),
    (0.089, 0.171),
]


def test_intervals_that_hold_together() -> None:
    found = [(each.low, each.high) for each in simultaneous_shares(SEVEN)]
    for ours, printed in zip(found, GOODMAN, strict=True):
        assert ours == pytest.approx(printed, abs=1e-3)
    theirs = multinomial_proportions_confint(SEVEN, 0.05, "goodman")
    assert [end for pair in found for end in pair] == pytest.approx(list(theirs.ravel()))


@pytest.mark.parametrize(
    ("count", "total", "limits"),
    [
        # Computed, statsmodels 0.15.0 proportion_confint(method="wilson"); that Newcombe (1998)
        # prints the first two is from memory.
        (81, 263, (0.2553, 0.3662)),
        (0, 20, (0, 0.1611)),
        (0, 10, (0, 0.2775)),
        (5, 10, (0.2366, 0.7634)),
    ],
)
def test_one_share(count: int, total: int, limits: tuple[float, float]) -> None:
    found = share(count, total)
    assert (found.low, found.high) == pytest.approx(limits, abs=1e-4)


def test_no_cause_leads_while_intervals_overlap() -> None:
    assert leader(SEVEN) is None
    assert leader([2, 1, 0]) is None
    assert leader([3, 90, 4]) == 1


@pytest.mark.parametrize("counts", [[0, 0], [-1, 3]])
def test_nothing_counted_has_no_shares(counts: list[int]) -> None:
    with pytest.raises(ValueError, match="at least one fault"):
        simultaneous_shares(counts)


def test_more_than_all_is_refused() -> None:
    with pytest.raises(ValueError, match="count <= total"):
        share(4, 3)
