"""The private address of a quote: made, shown once, revoked. Only a hash of it is kept."""

import secrets
import zoneinfo
from datetime import datetime, time, timedelta

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _

from faults.cases.services.asking import Question, ask_client, open_question
from faults.events import QuoteMailed, QuoteSent, announce
from faults.models import Quote, QuoteLink
from faults.quotes.services.standing import STANDING_WORDS, Standing, standing_of
from faults.quotes.services.told import UnableToQuote
from sites.kernel.engines.roles import Action
from sites.kernel.services.secrets import hash_of
from sites.kernel.services.verbs import verb
from sites.models import User, today_at

SECRET_BYTES = 24


@verb(
    name="send a quote",
    action=Action.ASK_CLIENT,
    guard="it can be answered; to whom",
    undo="revoke the link of a quote",
)
def send_quote(
    *,
    quote: Quote,
    sent_to: str,
    by: User,
    at: datetime,
    mail_to: str = "",
    language: str = "en",
) -> str:
    """Make a private address in place of the one before, and return it, this one time.

    The client counts as asked: from now on the fault waits on the answer.

    Args:
        mail_to: where a mail with the address goes, in this language; empty = the office brings it.
    """
    today = today_at(quote.fault.property, at)
    state = standing_of(quote, today=today)
    if state is not Standing.OPEN:
        raise UnableToQuote(_("It cannot be answered: %s.") % STANDING_WORDS[state])
    who = " ".join(sent_to.split())
    if not who:
        raise UnableToQuote(_("Who gets it?"), field="sent_to")
    for held in QuoteLink.objects.select_for_update().filter(quote=quote, revoked_at=None):
        held.revoked_at = at
        held.save()
    secret = secrets.token_urlsafe(SECRET_BYTES)
    QuoteLink.objects.create(
        quote=quote,
        secret_hash=hash_of(secret),
        sent_to=who,
        made_at=at,
        made_by=by,
        expires_at=_end_of(quote),
    )
    if open_question(quote.fault) is None:
        what = _("Quote %(version)s for %(purpose)s") % {
            "version": quote.version,
            "purpose": quote.get_purpose_display(),
        }
        ask_client(fault=quote.fault, question=Question(today, who, what), by=by, today=today)
    announce(QuoteSent(quote, by, today))
    address = settings.SITE_URL + reverse("faults:quote_answer", args=[secret])
    if mail_to:
        announce(QuoteMailed(quote, mail_to, address, language, at))
    return address


@verb(
    name="revoke the link of a quote",
    action=Action.ASK_CLIENT,
    guard="there is one in force",
    undo="send a quote: the old address never works again",
)
def revoke_link(*, quote: Quote, at: datetime) -> None:
    """End the address: nobody reads or answers the quote by it any more."""
    held = link_in_force(quote)
    if held is None:
        raise UnableToQuote(_("There is no link in force."))
    held.revoked_at = at
    held.save()


def link_in_force(quote: Quote) -> QuoteLink | None:
    """Return the link of a quote that was not revoked."""
    return QuoteLink.objects.filter(quote=quote, revoked_at=None).first()


def link_by(secret: str, *, at: datetime) -> QuoteLink | None:
    """Return the link that a secret opens now; one that is revoked or has ended opens nothing."""
    rows = QuoteLink.objects.filter(secret_hash=hash_of(secret), revoked_at=None, expires_at__gt=at)
    return rows.select_related("quote__fault__property", "made_by").first()


def _end_of(quote: Quote) -> datetime:
    """The midnight after the last day on which the quote is valid, at the property."""
    zone = zoneinfo.ZoneInfo(quote.fault.property.time_zone)
    return datetime.combine(quote.valid_until + timedelta(days=1), time(0), zone)
