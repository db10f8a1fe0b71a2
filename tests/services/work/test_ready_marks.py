"""What readiness marks: what there is time for, what is to be done before, and what cannot go."""

from datetime import timedelta

import pytest

from faults.work.engines.safety import Prompt
from faults.work.forms.job_lines import SafetyForm
from faults.work.services.gates import refuse_unanswered
from faults.work.services.readiness import readiness_of
from faults.work.services.ready_lines import STATE_WORDS, ReadyLine, State, Subject
from faults.work.services.safety import answer_safety, prompt_lines
from faults.work.services.told import UnableToWork
from tests import make, make_jobs, make_notices

pytestmark = pytest.mark.django_db

TODAY = make.TODAY


@pytest.mark.parametrize(
    ("days", "state", "is_final", "words"),
    [
        (None, "planned", False, "Once it has a day, soak the ground at least 2 days before."),
        (3, "planned", False, "Soak the ground by 2025-06-16"),
        (2, "not ready", False, "Soak the ground today"),
        (1, "not ready", True, "2025-06-14 was the last day"),
    ],
)
def test_a_soak_is_planned_until_its_last_day_and_then_rings(
    days: int | None, state: str, is_final: bool, words: str
) -> None:
    day = None if days is None else TODAY + timedelta(days=days)
    job = make_notices.job(property=make.place(soil="clay"), day=day)
    ready = readiness_of([job], today=TODAY)[job.pk]
    (found,) = [each for each in ready.lines if each.subject is Subject.SOIL]
    assert (found.state.value, found.is_final) == (state, is_final)
    assert words in found.words
    assert (found in ready.planned, found in ready.to_do, found in ready.barring) == (
        state == "planned",
        state == "not ready" and not is_final,
        is_final,
    )
    assert not ready.is_ready
    assert found.state_word == ("cannot go" if is_final else STATE_WORDS[found.state])


def test_private_lines_are_to_do_until_each_is_answered_and_the_gate_says_the_same() -> None:
    job = make_notices.dig(fault=make.fault(), day=TODAY, planned_depth_in=18)

    def private() -> ReadyLine:
        lines = readiness_of([job], today=TODAY)[job.pk].lines
        return next(each for each in lines if each.subject is Subject.PRIVATE)

    assert (private().state, private().is_final) == (State.NOT_READY, False)
    assert "gas to grills" in private().words
    with pytest.raises(UnableToWork, match="gas to grills"):
        refuse_unanswered(job)
    make_jobs.private_lines_known(job)
    assert private().state is State.READY
    refuse_unanswered(job)
    gas = job.safety.get(prompt=Prompt.PRIVATE_GAS.value)
    gas.answer = "waived:"
    gas.save()
    assert private().state is State.NOT_READY
    with pytest.raises(UnableToWork, match="gas to grills") as no:
        refuse_unanswered(job)
    assert "pool" not in str(no.value)


@pytest.mark.parametrize(
    ("words", "field"),
    [("waived: ", "answer_private_pool_by"), (": Ann", "answer_private_pool")],
)
def test_half_an_answer_is_refused_at_the_field_that_lacks(words: str, field: str) -> None:
    job = make_notices.dig(fault=make.fault(), planned_depth_in=18)
    told = {"depth_in": 18, "situations": (), "by": make.user(), "at": make.NOW}
    with pytest.raises(UnableToWork, match="who marked them") as no:
        answer_safety(job=job, answers={Prompt.PRIVATE_POOL: words}, **told)
    assert no.value.field == field
    assert not job.safety.exists()


def test_the_form_takes_the_two_halves_apart_and_puts_them_together() -> None:
    job = make_jobs.private_lines_known(make_notices.dig(fault=make.fault(), planned_depth_in=18))
    shown = SafetyForm(job=job)
    assert shown.initial["answer_private_pool"] == "marked"
    assert shown.initial["answer_private_pool_by"] == "the client's electrician"
    sent = {"depth_in": "18", "answer_private_pool": "none there", "answer_private_pool_by": "Bo"}
    form = SafetyForm(sent, job=job)
    assert form.is_valid(), form.errors
    answers = form.values()["answers"]
    assert answers[Prompt.PRIVATE_POOL] == "none there: Bo"  # type: ignore[index]
    (line,) = [each for each in prompt_lines(job, list(job.safety.all())) if "pool" in each.words]
    assert line.said == "marked by the client's electrician"
