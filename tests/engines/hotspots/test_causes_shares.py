"""Shares of causes, against printed intervals."""

import pytest
from statsmodels.stats.proportion import multinomial_proportions_confint

from reports.hotspots.engines.causes import leader, simultaneous_shares

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


def test_no_cause_leads_while_intervals_overlap() -> None:
    assert leader(SEVEN) is None
    assert leader([2, 1, 0]) is None
    assert leader([3, 90, 4]) == 1


@pytest.mark.parametrize("counts", [[0, 0], [-1, 3]])
def test_nothing_counted_has_no_shares(counts: list[int]) -> None:
    with pytest.raises(ValueError, match="at least one fault"):
        simultaneous_shares(counts)
