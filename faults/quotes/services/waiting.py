"""Quotes that wait for a signed-in client's answer: what they come to, and who has the link.

Who is signed in answers without the link, of which only a hash is kept.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Max, Q, QuerySet

from faults.models import DECISIONS, Fault, Quote, QuoteAnswer, QuoteLink
from faults.quotes.queries import with_options
from faults.quotes.services.shown import ShownOption, shown_options
from faults.quotes.services.standing import Standing, judged
from sites.kernel.access import properties_where
from sites.kernel.engines.roles import Action
from sites.models import User, today_at

MOST = 50


@dataclass(frozen=True)
class WaitingQuote:
    """One quote that can be answered now, and to whom its link went on which day."""

    quote: Quote
    options: list[ShownOption]
    sent_to: str
    sent_on: date


def waiting_for(user: User, *, at: datetime) -> list[WaitingQuote]:
    """Return what waits for an answer at the properties whose client the user is, oldest first."""
    rows = _sent_to(user, at)
    links = {link.quote_id: link for link in rows.order_by("made_at", "pk")[:MOST]}
    quotes = {each.pk: each for each in with_options(Quote.objects.filter(pk__in=links))}
    found = []
    for quote, state in _judged(list(quotes.values()), at):
        link = links[quote.pk]
        if state is Standing.OPEN:
            sent_on = today_at(quote.fault.property, link.made_at)
            found.append(WaitingQuote(quote, shown_options(quote), link.sent_to, sent_on))
    return sorted(found, key=lambda each: (each.sent_on, each.quote.pk))


def answered_for(user: User, *, at: datetime) -> list[QuoteAnswer]:
    """Return the yes or no that stands on quotes of faults that are still open, newest first."""
    clients = properties_where(user, Action.ANSWER_QUOTES, "quote__fault__property")
    rows = QuoteAnswer.objects.filter(
        clients, kind__in=DECISIONS, reopened_on=None, quote__fault__in=Fault.objects.open()
    ).filter(at__lte=at)
    related = ("quote__fault__property", "option__quote")
    return list(rows.select_related(*related).order_by("-at", "-pk")[:MOST])


def link_to(user: User, ref: str, *, at: datetime) -> QuoteLink | None:
    """Return the link in force of a quote that this user may answer signed in.

    It stands for the quote that was sent: what the office has not sent is nobody's to answer.
    """
    rows = _sent_to(user, at).filter(quote__ref=ref)
    return rows.select_related("quote__fault__property", "made_by").order_by("-made_at").first()


def _sent_to(user: User, at: datetime) -> QuerySet[QuoteLink]:
    clients = properties_where(user, Action.ANSWER_QUOTES, "quote__fault__property")
    return QuoteLink.objects.filter(clients, revoked_at=None, expires_at__gt=at)


def _judged(quotes: Sequence[Quote], at: datetime) -> list[tuple[Quote, Standing]]:
    """As `standing_of` judges each, with what it depends on read once for all of them."""
    keys = [quote.pk for quote in quotes]
    decided = set(
        QuoteAnswer.objects.filter(
            quote__in=keys, kind__in=DECISIONS, reopened_on=None
        ).values_list("quote", flat=True)
    )
    is_deep = Q(breaks__mended_on=None, breaks__depth_in__gt=0)
    faults = Fault.objects.filter(pk__in=[quote.fault_id for quote in quotes])
    deepest = dict(
        faults.annotate(deep=Max("breaks__depth_in", filter=is_deep)).values_list("pk", "deep")
    )
    newest = dict(
        faults.annotate(
            last=Max("quotes__version", filter=Q(quotes__withdrawn_on=None))
        ).values_list("pk", "last")
    )
    return [
        (
            quote,
            judged(
                quote,
                today=today_at(quote.fault.property, at),
                is_decided=quote.pk in decided,
                newest=newest[quote.fault_id] or 0,
                deepest_in=deepest[quote.fault_id],
            ),
        )
        for quote in quotes
    ]
