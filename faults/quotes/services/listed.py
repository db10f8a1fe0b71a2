"""The versions of a fault's quote, as its page lists them."""

from dataclasses import dataclass
from datetime import date

from faults.models import DECISIONS, Fault, Quote, QuoteAnswer
from faults.quotes.queries import deepest_break_in
from faults.quotes.services.answer_words import answer_words
from faults.quotes.services.standing import STANDING_WORDS, Standing, judged


@dataclass(frozen=True)
class ListedQuote:
    """One version and how it stands."""

    row: Quote
    words: str


def listed(fault: Fault, *, today: date) -> list[ListedQuote]:
    """Return the versions, the newest first: three queries, whatever their number."""
    rows = list(Quote.objects.filter(fault=fault).order_by("-version"))
    if not rows:
        return []
    decided = QuoteAnswer.objects.filter(quote__in=rows, kind__in=DECISIONS, reopened_on=None)
    answers = {one.quote_id: one for one in decided.select_related("option__quote")}
    newest = max((one.version for one in rows if one.withdrawn_on is None), default=0)
    deepest = deepest_break_in(fault)
    found = []
    for row in rows:
        row.fault = fault
        answer = answers.get(row.pk)
        state = judged(
            row, today=today, is_decided=answer is not None, newest=newest, deepest_in=deepest
        )
        if state is Standing.ANSWERED and answer is not None:
            answer.quote = row
            found.append(ListedQuote(row, answer_words(answer)))
        else:
            found.append(ListedQuote(row, str(STANDING_WORDS[state])))
    return found
