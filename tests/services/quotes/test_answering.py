"""A client answers a quote once, and the yes reaches consent, readiness and the dig gate."""

from decimal import Decimal
from typing import Any

import pytest

from faults.cases.engines.stages import Stage
from faults.cases.services.asking import Question, ask_client, enter_answer, open_question
from faults.cases.services.moves import move_stations
from faults.cases.services.spending import spending_of
from faults.models import (
    AnswerKind,
    Asked,
    Authority,
    Fault,
    FollowUp,
    JobKind,
    Quote,
    QuoteAnswer,
    QuotePurpose,
    Wait,
)
from faults.prices.engines.pricing import Charge
from faults.quotes.engines.quoting import OptionKind, Work
from faults.quotes.services.answering import Said, answer_quote, reopen_quote
from faults.quotes.services.links import link_by, send_quote
from faults.quotes.services.standing import Standing, standing_of
from faults.quotes.services.told import UnableToQuote
from faults.work.services.gates import refuse_without_consent
from faults.work.services.readiness import readiness_of
from faults.work.services.ready_lines import Subject
from faults.work.services.told import UnableToWork
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs, make_prices, make_quotes

pytestmark = pytest.mark.django_db

D = Decimal
YES = AnswerKind.YES.value


@pytest.fixture
def dispatcher() -> User:
    """Who sends the quote."""
    return make.user(Role.DISPATCHER)


@pytest.fixture
def quote(dispatcher: User) -> Quote:
    """The worked example: we dig for 320.42, or the client digs."""
    make_prices.price_list({Charge.TRACING: 65, Charge.DIGGING: 65, Charge.STANDBY: 45})
    return make_quotes.quote(
        by=dispatcher, options=frozenset({OptionKind.WE_DIG, OptionKind.YOU_DIG, OptionKind.TIMER})
    )


def said(kind: str = YES, option: str = "we dig", **more: Any) -> Said:
    return Said(kind, **{"name": "Ann Field", "option": option if kind == YES else "", **more})


def answer(quote: Quote, by: User, what: Said, **more: Any) -> QuoteAnswer:
    return answer_quote(quote=quote, said=what, by=by, at=make.NOW, **more)


def state(quote: Quote) -> Standing:
    return standing_of(Quote.objects.get(pk=quote.pk), today=make.TODAY)


def stages(fault: Fault) -> list[str]:
    return list(fault.stations.order_by("pk").values_list("stage", flat=True))


def waits(fault: Fault) -> set[str]:
    return set(Wait.objects.filter(fault=fault).values_list("waits_on", flat=True))


@pytest.mark.parametrize("by_link", [True, False])
def test_a_yes_by_link_or_telephone_sets_the_limit_and_moves_the_stations(
    quote: Quote, dispatcher: User, by_link: bool
) -> None:
    link = None
    if by_link:
        secret = make_quotes.secret_of(quote, by=dispatcher, at=make.NOW)
        link = link_by(secret, at=make.NOW)
    kept = answer(quote, dispatcher, said(), link=link, address="192.0.2.7" if link else None)
    yes = Authority.objects.get()
    assert (yes.given_by, yes.up_to_amount, yes.up_to_hours) == ("Ann Field", D("320.42"), None)
    assert yes.given_on == make.TODAY
    assert stages(quote.fault) == [Stage.AGREED.value]
    asked = Asked.objects.get()
    assert (asked.answer, asked.answered_on) == ("yes", make.TODAY)
    assert kept.asked == asked
    assert (kept.address, kept.entered_by) == (
        ("192.0.2.7", None) if by_link else (None, dispatcher)
    )
    assert state(quote) is Standing.ANSWERED


def test_the_yes_opens_the_gate_of_a_dig_and_turns_its_readiness(
    quote: Quote, dispatcher: User
) -> None:
    job = make_jobs.job(fault=quote.fault, kind=JobKind.DIG, day=make.TODAY)

    def consent() -> str:
        lines = readiness_of([job], today=make.TODAY)[job.pk].lines
        return next(line.words for line in lines if line.subject is Subject.CONSENT)

    with pytest.raises(UnableToWork):
        refuse_without_consent(job, make.NOW)
    send_quote(quote=quote, sent_to="Ann", by=dispatcher, at=make.NOW)
    assert consent() == "The client was asked and has not answered. Call them."
    answer(quote, dispatcher, said())
    refuse_without_consent(job, make.NOW)
    assert consent() == "The client said yes."


def test_a_limit_that_the_client_types_holds_in_place_of_the_quoted_sum(
    quote: Quote, dispatcher: User
) -> None:
    answer(quote, dispatcher, said(up_to_amount=D("250"), up_to_hours=D("4")))
    spending = spending_of(quote.fault, at=make.NOW)
    assert (spending.up_to_amount, spending.up_to_hours) == (D(250), D(4))
    assert spending.given_by == "Ann Field"


def test_waits_follow_sent_then_yes(quote: Quote, dispatcher: User) -> None:
    send_quote(quote=quote, sent_to="Ann", by=dispatcher, at=make.NOW)
    assert waits(quote.fault) <= {"answer"}
    answer(quote, dispatcher, said(AnswerKind.NO.value, words="too dear"))
    asked = Asked.objects.get()
    assert (asked.answer, asked.notes) == ("no", "too dear")
    assert waits(quote.fault) <= {"refused"}
    assert stages(quote.fault) == [Stage.FOUND.value]
    assert not Authority.objects.exists()


def test_staying_on_a_timer_lets_nobody_dig(quote: Quote, dispatcher: User) -> None:
    answer(quote, dispatcher, said(option="timer"))
    asked = Asked.objects.get()
    assert (asked.answer, asked.notes) == ("no", "leave it as it is")
    assert not Authority.objects.exists()
    assert stages(quote.fault) == [Stage.FOUND.value]


def test_a_search_is_limited_in_hours_and_money_and_moves_nothing(dispatcher: User) -> None:
    make_prices.price_list({Charge.TRACING: 65})
    quote = make_quotes.quote(
        make.fault(),
        by=dispatcher,
        purpose=QuotePurpose.SEARCH,
        options=frozenset({OptionKind.SEARCH}),
        work=Work(searching_h=D("2.751")),
        hole=None,
    )
    answer(quote, dispatcher, said(option="search"))
    yes = Authority.objects.get()
    assert (yes.up_to_hours, yes.up_to_amount) == (D("2.76"), D("178.82"))
    assert stages(quote.fault) == [Stage.REPORTED.value]
    assert yes.stations.count() == 1
    with pytest.raises(UnableToQuote, match="The yes stands"):
        reopen_quote(quote=quote, why="a slip", by=dispatcher, today=make.TODAY)


def test_it_is_decided_once(quote: Quote, dispatcher: User) -> None:
    answer(quote, dispatcher, said(AnswerKind.NO.value))
    for what in (said(), said(AnswerKind.NO.value), said(AnswerKind.QUESTION.value, words="why?")):
        with pytest.raises(UnableToQuote, match="answered"):
            answer(quote, dispatcher, what)
    assert QuoteAnswer.objects.count() == 1
    assert not Authority.objects.exists()


def test_a_question_decides_nothing_and_is_due_in_the_office_today(
    quote: Quote, dispatcher: User
) -> None:
    send_quote(quote=quote, sent_to="Ann", by=dispatcher, at=make.NOW)
    question = said(AnswerKind.QUESTION.value, words="Which walk?", also_down="the pond pump")
    answer(quote, dispatcher, question)
    due = list(FollowUp.objects.order_by("pk").values_list("what", "due_on", "fault"))
    assert due == [
        ("Ann Field asks: Which walk?", make.TODAY, quote.fault_id),
        ("Ann Field: this does not run either: the pond pump", make.TODAY, quote.fault_id),
    ]
    assert open_question(quote.fault) is not None
    answer(quote, dispatcher, said())
    assert open_question(quote.fault) is None
    assert Authority.objects.count() == 1


def test_ten_questions_are_taken_and_then_we_ask_for_a_call(quote: Quote, dispatcher: User) -> None:
    for _ in range(10):
        answer(quote, dispatcher, said(AnswerKind.QUESTION.value, words="why?"))
    with pytest.raises(UnableToQuote, match="call"):
        answer(quote, dispatcher, said(AnswerKind.QUESTION.value, words="why?"))


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        (said(name=" "), "name"),
        (said(option="machine"), "choice"),
        (said(option=""), "choice"),
        (said(up_to_amount=D(0)), "up_to_amount"),
        (said(up_to_hours=D("-1")), "up_to_hours"),
        (said("perhaps"), "choice"),
        (said(AnswerKind.QUESTION.value), "words"),
    ],
)
def test_what_is_no_answer_is_refused_and_nothing_is_kept(
    quote: Quote, dispatcher: User, wrong: Said, field: str
) -> None:
    with pytest.raises(UnableToQuote) as refusal:
        answer(quote, dispatcher, wrong)
    assert refusal.value.field == field
    assert not QuoteAnswer.objects.exists()
    assert not Asked.objects.exists()
    assert stages(quote.fault) == [Stage.FOUND.value]


def test_a_no_is_opened_again_by_the_office_and_answered_once_more(
    quote: Quote, dispatcher: User
) -> None:
    answer(quote, dispatcher, said(AnswerKind.NO.value))
    reopen_quote(quote=quote, why="they called", by=dispatcher, today=make.TODAY)
    assert state(quote) is Standing.OPEN
    assert Asked.objects.get().answer == ""
    answer(quote, dispatcher, said())
    assert Asked.objects.get().answer == "yes"
    assert [each.kind for each in QuoteAnswer.objects.order_by("pk")] == ["no", "yes"]


def test_a_yes_is_opened_again_once_its_stations_are_back_at_found(
    quote: Quote, dispatcher: User
) -> None:
    answer(quote, dispatcher, said())
    with pytest.raises(UnableToQuote, match="The yes stands"):
        reopen_quote(quote=quote, why="a slip", by=dispatcher, today=make.TODAY)
    fault = Fault.objects.get(pk=quote.fault_id)
    move_stations(
        fault=fault,
        stations=list(fault.stations.all()),
        to=Stage.FOUND,
        on=make.TODAY,
        by=dispatcher,
        at=make.NOW,
        today=make.TODAY,
        why="a slip",
    )
    reopen_quote(quote=quote, why="a slip", by=dispatcher, today=make.TODAY)
    assert state(quote) is Standing.OPEN
    with pytest.raises(UnableToQuote, match="Nobody has answered"):
        reopen_quote(quote=quote, why="again", by=dispatcher, today=make.TODAY)


def test_another_open_question_is_answered_too_and_no_second_one_is_asked(
    quote: Quote, dispatcher: User
) -> None:
    question = Question(make.TODAY, "Ann", "May we dig?")
    ask_client(fault=quote.fault, question=question, by=dispatcher, today=make.TODAY)
    send_quote(quote=quote, sent_to="Ann", by=dispatcher, at=make.NOW)
    answer(quote, dispatcher, said())
    assert Asked.objects.get().what == "May we dig?"
    assert Asked.objects.get().answer == "yes"


def test_a_question_answered_elsewhere_does_not_answer_the_quote(
    quote: Quote, dispatcher: User
) -> None:
    send_quote(quote=quote, sent_to="Ann", by=dispatcher, at=make.NOW)
    enter_answer(asked=Asked.objects.get(), answer="no", on=make.TODAY, today=make.TODAY)
    answer(quote, dispatcher, said())
    assert sorted(Asked.objects.values_list("answer", flat=True)) == ["no", "yes"]


def test_who_may_no_longer_move_stations_leaves_the_yes_for_the_office(
    quote: Quote, dispatcher: User
) -> None:
    secret = make_quotes.secret_of(quote, by=dispatcher, at=make.NOW)
    dispatcher.is_active = False
    dispatcher.save()
    answer(quote, dispatcher, said(), link=link_by(secret, at=make.NOW))
    assert Authority.objects.get().up_to_amount == D("320.42")
    assert Asked.objects.get().answer == "yes"
    assert stages(quote.fault) == [Stage.FOUND.value]
