"""The service as its operator starts it, killed a dozen times while it is written to.

The same as `.ci/long kills`, which kills 500 times; `tests/bench/bench_kills.py` says what and how.
"""

import pytest

from tests.bench.bench_kills import main
from tests.bench.kills.ledger import Ledger
from tests.bench.kills.reckoning import reckoned
from tests.databases import create_from_template

KILLS, SEED = 12, 20261130


def test_what_is_lost_doubled_or_turned_away_would_be_seen() -> None:
    ledger, kind = Ledger(), "fault by a program"
    kept, lost, doubled, two, away, unheard = (ledger.begin(kind) for _ in range(6))
    ledger.begin("another kind")
    for row in (kept, lost, doubled, two):
        ledger.heard(row, 201, made="one")
    ledger.heard(kept, 200, made="one")
    ledger.heard(two, 200, made="another")
    ledger.heard(away, 400, refused="400: no")
    ledger.heard(unheard, "no answer")
    found = {kept.mark: 1, doubled.mark: 2, two.mark: 1, unheard.mark: 1}
    told = reckoned(kind, ledger, found)
    assert (told.begun, told.sendings, told.acknowledged) == (6, 8, 4)
    assert (told.lost, told.doubled, told.turned_away) == (1, 2, 1)
    assert told.is_bad
    assert not reckoned("another kind", ledger, {}).is_bad


@pytest.mark.service
@pytest.mark.usefixtures("redis_url")  # says so where Redis is not installed
def test_nothing_that_was_acknowledged_is_lost_or_doubled_by_a_dozen_kills(
    postgres_url: str, capfd: pytest.CaptureFixture[str]
) -> None:
    broken = main(KILLS, SEED, create_from_template(postgres_url, "rejoin_kills"))
    said = capfd.readouterr().out
    assert broken == 0, said
    assert f"{KILLS} kills" in said
    # Kills that met nothing would prove nothing.
    acknowledged = int(said.partition("  in all ")[2].split()[0])
    assert acknowledged > KILLS, said
