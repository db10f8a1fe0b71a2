"""The client's answer: by the private link and on the telephone through one verb."""

from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date, datetime
from decimal import ROUND_UP, Decimal

from django.utils import translation
from django.utils.translation import gettext as _

from faults.cases.engines.consent import Limit
from faults.cases.engines.stages import Stage
from faults.cases.services.asking import (
    Question,
    ask_client,
    correct_question,
    enter_answer,
    open_question,
)
from faults.cases.services.before_mend import keep_yes
from faults.cases.services.moves import move_stations
from faults.cases.services.photos import UnableToAddFaultPhoto, add_fault_photo
from faults.cases.services.told import Consent
from faults.events import ClientSaid, announce
from faults.models import (
    CLOSED_STAGES,
    AnswerKind,
    Asked,
    ClientAnswer,
    FaultStation,
    Quote,
    QuoteAnswer,
    QuoteLink,
    QuoteOption,
)
from faults.quotes.engines.quoting import OptionKind
from faults.quotes.queries import decision_of
from faults.quotes.services.standing import STANDING_WORDS, Standing, standing_of
from faults.quotes.services.staying import option_words
from faults.quotes.services.told import UnableToQuote
from sites.kernel.access import may
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because, was_wrong
from sites.kernel.services.verbs import verb
from sites.models import User, today_at
from sites.register.services.photos import PreparedPhoto

# Questions that one quote takes before somebody has to call.
MOST_QUESTIONS = 10
HUNDREDTH = Decimal("0.01")
LONGEST_NOTE = 300
LONGEST_CAPTION = 200


@dataclass(frozen=True)
class Said:
    """What the client said. `option` is the kind of the chosen option, for a yes."""

    kind: str
    name: str
    option: str = ""
    up_to_hours: Decimal | None = None
    up_to_amount: Decimal | None = None
    words: str = ""
    also_down: str = ""
    # Of what does not run either.
    photo: PreparedPhoto | None = None


@verb(
    name="answer a quote",
    action=Action.ASK_CLIENT,
    guard="it can be answered, and was not; a yes names one of its options; limits above 0; who "
    "said so; a question says something; a photo comes with words",
    undo="open a quote for another answer",
)
def answer_quote(
    *,
    quote: Quote,
    said: Said,
    by: User,
    at: datetime,
    link: QuoteLink | None = None,
    address: str | None = None,
    signed_in: User | None = None,
) -> QuoteAnswer:
    """Keep an answer. A yes sets the limit, answers the question and moves the stations on.

    Args:
        by: who wrote it down, or who sent the link that brought it.
        link: None = it was said on the telephone.
        signed_in: the client's user who answered a quote that was sent, without its link.
    """
    today = today_at(quote.fault.property, at)
    state = standing_of(quote, today=today)
    if state is not Standing.OPEN:
        raise UnableToQuote(_("It cannot be answered: %s.") % STANDING_WORDS[state])
    option = _chosen(quote, said)
    _refuse(quote, said)
    kept = QuoteAnswer(
        quote=quote,
        kind=said.kind,
        option=option,
        up_to_hours=said.up_to_hours,
        up_to_amount=said.up_to_amount,
        name=" ".join(said.name.split()),
        words=said.words.strip(),
        also_down=said.also_down.strip(),
        at=at,
        link=link,
        address=address,
        entered_by=signed_in if link else by,
    )
    if said.kind != AnswerKind.QUESTION:
        with _as_read_by(by):
            kept.asked = _answer_the_question(kept, by, today)
    kept.save()
    with _as_read_by(by):
        _keep_photo(kept, said, by, at)
    if said.kind == AnswerKind.YES and option is not None and _starts_work(option):
        _let_work_begin(kept, option, by, at, today)
    with _as_read_by(by):
        notes = _for_the_office(kept)
    for words in notes:
        announce(ClientSaid(quote.fault, words, by, today))
    return kept


@verb(
    name="open a quote for another answer",
    action=Action.ASK_CLIENT,
    guard="it has a yes or no; why; a yes to work is taken back first, by moving its stations back",
    undo="answer a quote",
)
def reopen_quote(*, quote: Quote, why: str, by: User, today: date) -> None:
    """Let the client answer once more. The answer before stays readable."""
    reason = was_wrong(why)
    decision = decision_of(quote)
    if decision is None:
        raise UnableToQuote(_("Nobody has answered it yet."))
    if decision.option is not None and _starts_work(decision.option):
        _refuse_while_agreed(decision)
    decision.reopened_on = today
    save_because(decision, reason)
    asked = decision.asked
    if asked is not None and open_question(quote.fault) is None:
        values = {"answer": "", "answered_on": None}
        correct_question(asked=asked, values=values, why=why, today=today)


def _as_read_by(by: User) -> AbstractContextManager[None]:
    """What the office keeps is in the office's language, whatever the client reads."""
    return translation.override(by.language)


def _chosen(quote: Quote, said: Said) -> QuoteOption | None:
    if said.kind != AnswerKind.YES:
        return None
    option: QuoteOption | None = quote.options.filter(kind=said.option).first()
    if option is None:
        raise UnableToQuote(_("Which of the options?"), field="choice")
    return option


def _refuse(quote: Quote, said: Said) -> None:
    if said.kind not in AnswerKind.values:
        raise UnableToQuote(_("Yes, no, or a question?"), field="choice")
    if not said.name.strip():
        raise UnableToQuote(_("Who says so? Type the name."), field="name")
    for name in ("up_to_hours", "up_to_amount"):
        limit = getattr(said, name)
        if limit is not None and limit <= 0:
            raise UnableToQuote(_("A limit is above 0. Leave it empty for none."), field=name)
    if said.photo is not None and not said.also_down.strip():
        raise UnableToQuote(
            _("What does the photo show? Say what does not run."), field="also_down"
        )
    if said.kind != AnswerKind.QUESTION:
        return
    if not said.words.strip():
        raise UnableToQuote(_("What is the question?"), field="words")
    if quote.answers.filter(kind=AnswerKind.QUESTION).count() >= MOST_QUESTIONS:
        raise UnableToQuote(_("Many questions were asked already. Please call us."))


def _keep_photo(kept: QuoteAnswer, said: Said, by: User, at: datetime) -> None:
    """Lay it with the fault's photos, under the client's words: only the office sees them."""
    if said.photo is None:
        return
    caption = _("%(name)s: this does not run either: %(words)s") % {
        "name": kept.name,
        "words": kept.also_down,
    }
    try:
        add_fault_photo(
            fault=kept.quote.fault,
            photo=said.photo,
            by=by,
            at=at,
            caption=caption[:LONGEST_CAPTION],
        )
    except UnableToAddFaultPhoto:
        raise UnableToQuote(
            _("We cannot take another photo here. Send your answer without it."), field="photo"
        ) from None


def _answer_the_question(kept: QuoteAnswer, by: User, today: date) -> Asked:
    """Answer the open question to the client, or one that is asked and answered at once."""
    fault = kept.quote.fault
    asked = open_question(fault)
    if asked is None:
        what = _("Quote %(version)s for %(purpose)s") % {
            "version": kept.quote.version,
            "purpose": kept.quote.get_purpose_display(),
        }
        question = Question(today, kept.name, what)
        asked = ask_client(fault=fault, question=question, by=by, today=today)
    is_yes = kept.kind == AnswerKind.YES and kept.option and _starts_work(kept.option)
    answer = ClientAnswer.YES if is_yes else ClientAnswer.NO
    chosen = option_words(kept.option) if kept.option else ""
    notes = "; ".join(each for each in (chosen, kept.words) if each)
    enter_answer(asked=asked, answer=answer, on=today, notes=notes[:LONGEST_NOTE], today=today)
    return asked


def _starts_work(option: QuoteOption) -> bool:
    """Whether a yes to it lets us work: staying on a timer does not."""
    return option.kind != OptionKind.TIMER


def limit_for(kept: QuoteAnswer, option: QuoteOption) -> Limit:
    """Return the limit of a yes: as the client said, else the sum before tax of the option.

    A search is limited in hours too. Both count all that is done for the fault.
    """
    hours, amount = kept.up_to_hours, kept.up_to_amount
    if option.kind == OptionKind.SEARCH and hours is None:
        hours = Decimal(option.hours).quantize(HUNDREDTH, ROUND_UP)
    return Limit(hours or None, amount if amount is not None else option.total.net or None)


def _let_work_begin(
    kept: QuoteAnswer, option: QuoteOption, by: User, at: datetime, today: date
) -> None:
    """Move what is found to agreed, as the office does; keep the yes for what is still sought."""
    fault = kept.quote.fault
    consent = Consent(kept.name, today, limit_for(kept, option))
    found = list(fault.stations.filter(stage=Stage.FOUND.value).order_by("pk"))
    if found and may(by, Action.ASK_CLIENT, fault.property) and by.is_active:
        move_stations(
            fault=fault,
            stations=found,
            to=Stage.AGREED,
            on=today,
            by=by,
            at=at,
            today=today,
            facts=consent,
        )
        return
    keep_yes(fault, _open_rows(kept), consent, today, by=by)


def _open_rows(kept: QuoteAnswer) -> list[FaultStation]:
    rows = kept.quote.fault.stations.exclude(stage__in=CLOSED_STAGES)
    return list(rows.order_by("pk"))


def _refuse_while_agreed(decision: QuoteAnswer) -> None:
    agreed = (Stage.AGREED.value, Stage.MENDED.value, Stage.PROVEN.value)
    rows = decision.quote.fault.stations
    assert decision.option is not None
    is_search = decision.option.kind == OptionKind.SEARCH
    if is_search or rows.filter(stage__in=agreed).exists():
        raise UnableToQuote(
            _(
                "The yes stands, and work may rest on it. Move its stations back to found first; "
                "for a search make the next version, whose limit then holds."
            )
        )


def _for_the_office(kept: QuoteAnswer) -> list[str]:
    """What somebody has to do because of it."""
    found = []
    if kept.kind == AnswerKind.QUESTION:
        found.append(_("%(name)s asks: %(words)s") % {"name": kept.name, "words": kept.words})
    if kept.also_down:
        found.append(
            _("%(name)s: this does not run either: %(words)s")
            % {"name": kept.name, "words": kept.also_down}
        )
    return found
