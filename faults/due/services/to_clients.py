"""Mails to clients, who have no account: a quote with its private address."""

from django.utils import translation
from django.utils.translation import gettext as _

from faults.due.services.outbox import PRIVATE_KEY, new_message_id, put_out
from faults.events import QuoteMailed
from faults.models import OutgoingMail, QuotePurpose
from sites.kernel.services.secrets import hash_of


def mail_a_quote(sent: QuoteMailed) -> None:
    """Put the mail out, in the client's language. Its text goes from here once it is sent."""
    with translation.override(sent.language):
        subject, text = _words(sent)
    put_out(
        OutgoingMail(
            key=f"{PRIVATE_KEY}quote:{hash_of(sent.address)}",
            message_id=new_message_id(f"quote-{sent.quote.ref}"),
            to=sent.mail_to,
            subject=subject,
            text=text,
            made_at=sent.at,
            next_try_at=sent.at,
        )
    )


def _words(sent: QuoteMailed) -> tuple[str, str]:
    quote = sent.quote
    place = quote.fault.property.code
    if quote.purpose == QuotePurpose.SEARCH:
        subject = _("%s: may we look for the broken wire of your irrigation?") % place
    else:
        subject = _("%s: the fault of your irrigation is found: how shall we go on?") % place
    until = quote.valid_until.isoformat()
    lines = [
        _("Read what was found and what it costs, and answer here, without an account:"),
        "",
        f"{sent.address}?lang={sent.language}",
        "",
        _("It can be answered until %s. Only opening it decides nothing.") % until,
        _("Who has this address can answer: do not pass it on to anybody who may not."),
        "",
    ]
    return subject, "\n".join(lines)
