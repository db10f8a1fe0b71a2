"""The versions of a fault's quote, as its page lists them."""

from dataclasses import dataclass
from datetime import date

from faults.models import DECISIONS, Fault, Quote, QuoteAnswer
from faults.quotes.services.answer_words import answer_words
from faults.quotes.services.standing import STANDING_WORDS, Standing, standing_of


@dataclass(frozen=True)
class ListedQuote:
    """One version and how it stands."""

    row: Quote
    words: str


def listed(fault: Fault, *, today: date) -> list[ListedQuote]:
    """Return the versions, the newest first. Only the newest is asked how it stands."""
    rows = list(Quote.objects.filter(fault=fault).order_by("-version"))
    standing = [one for one in rows if one.withdrawn_on is None]
    decided = QuoteAnswer.objects.filter(quote__in=rows, kind__in=DECISIONS, reopened_on=None)
    answers = {
        one.quote_id: one for one in decided.select_related("option", "quote__fault__property")
    }
    found = []
    for row in rows:
        row.fault = fault
        if row.withdrawn_on is not None:
            state = Standing.WITHDRAWN
        elif row.pk in answers:
            found.append(ListedQuote(row, answer_words(answers[row.pk])))
            continue
        elif row is not standing[0]:
            state = Standing.REPLACED
        else:
            state = standing_of(row, today=today)
        found.append(ListedQuote(row, str(STANDING_WORDS[state])))
    return found
