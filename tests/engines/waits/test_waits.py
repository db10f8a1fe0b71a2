"""What a station off central waits on: one answer for whatever is true, and named cases."""

from datetime import date
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.cases.engines.stages import CLOSED, Stage
from faults.waits.engines.waits import MOVER_OF, Consent, Facts, Ticket, Waiting, WaitsOn, waiting
from faults.work.engines.visits import PURPOSE_OF_STAGE, Held, Purpose, Visit, VisitState, visit_for
from sites.stopgaps.engines.spells import Reason
from tests.engines.waits.cases import CASES, OFF, TODAY, day

DAYS = st.none() | st.integers(1, 90).map(day)
VISITS = st.builds(
    Visit,
    purpose=st.sampled_from(Purpose),
    state=st.sampled_from(VisitState),
    day=DAYS,
    ended_on=DAYS,
    held=st.none() | st.sampled_from(Held),
    held_since=DAYS,
    number=st.integers(0, 9),
)
ANYTHING = st.builds(
    Facts,
    today=st.integers(20, 70).map(day),
    off_since=st.integers(1, 60).map(day),
    reason=st.sampled_from(Reason),
    reason_since=DAYS,
    chosen_until=DAYS,
    stage=st.none() | st.sampled_from(Stage),
    moved_on=DAYS,
    closed_as=st.none() | st.sampled_from(sorted(CLOSED)),
    closed_on=DAYS,
    consent=st.sampled_from(Consent),
    consent_on=DAYS,
    ticket=st.sampled_from(Ticket),
    ticket_on=DAYS,
    ticket_clear_on=DAYS,
    visits=st.lists(VISITS, max_size=3).map(tuple),
    sound_on=DAYS,
    enable_asked_on=DAYS,
)


@pytest.mark.parametrize("case", CASES)
def test_says_what_a_station_waits_on(case: str) -> None:
    known, on, mover, since, until = CASES[case]
    found = waiting(known)
    assert (found.on, found.mover, found.since, found.until) == (on, mover, since, until)


def test_the_cases_name_everything_that_a_station_can_wait_on() -> None:
    assert {on for _, on, *_ in CASES.values()} == set(WaitsOn)


@given(ANYTHING)
def test_whatever_is_true_there_is_one_answer_with_days_that_make_sense(known: Facts) -> None:
    found = waiting(known)
    assert found.mover is MOVER_OF[found.on]
    assert found.since <= max(known.today, known.off_since)
    assert found.until is None or found.until >= known.today
    assert found.visit is None or found.visit in {one.number for one in known.visits}


def test_every_combination_of_kinds_has_an_answer() -> None:
    asked = product(
        Reason,
        [None, *Stage],
        [None, *sorted(CLOSED)],
        Consent,
        Ticket,
        [None, *product(Purpose, VisitState, [None, *Held], [day(22), TODAY])],
    )
    seen = set()
    for reason, stage, closed_as, consent, ticket, visit in asked:
        visits = (Visit(visit[0], visit[1], visit[3], held=visit[2]),) if visit else ()
        found = waiting(
            Facts(
                TODAY,
                OFF,
                reason,
                stage=stage,
                closed_as=closed_as,
                closed_on=day(9) if closed_as else None,
                consent=consent,
                ticket=ticket,
                visits=visits,
            )
        )
        assert isinstance(found, Waiting)
        assert OFF <= found.since <= TODAY
        seen.add(found.on)
    # These two need a day of their own: the named cases have them.
    assert seen == set(WaitsOn) - {WaitsOn.ENABLE, WaitsOn.BRING_HOME}


@given(st.sampled_from(sorted(PURPOSE_OF_STAGE)), st.lists(VISITS, max_size=4), DAYS)
def test_an_open_visit_is_looked_to_before_any_other(
    stage: Stage, visits: list[Visit], moved_on: date | None
) -> None:
    found = visit_for(stage, visits, moved_on)
    fitting = [one for one in visits if one.purpose is PURPOSE_OF_STAGE[stage]]
    assert found is None or found in fitting
    if any(one.is_open for one in fitting):
        assert found is not None
        assert found.is_open


@given(st.lists(VISITS, max_size=4, unique_by=lambda one: one.number), DAYS)
def test_the_order_of_visits_does_not_matter(visits: list[Visit], moved_on: date | None) -> None:
    there = visit_for(Stage.AGREED, visits, moved_on)
    assert there == visit_for(Stage.AGREED, visits[::-1], moved_on)
