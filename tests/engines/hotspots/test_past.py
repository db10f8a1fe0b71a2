"""What past faults cost, with its error."""

import numpy as np
import pytest
from scipy import stats

from reports.hotspots.engines.past import past_cost


def test_the_cost_of_past_faults_has_its_error() -> None:
    assert past_cost([]) is None
    assert past_cost([300.0]) is None
    assert past_cost([300.0, 500.0]) == (400.0, pytest.approx(100.0), pytest.approx(20_000**0.5))
    # The standard error of the mean, as scipy has it.
    costs = [310.0, 250.0, 900.0, 420.0, 380.0]
    sd = np.std(costs, ddof=1)
    assert past_cost(costs) == pytest.approx((np.mean(costs), stats.sem(costs), sd))
