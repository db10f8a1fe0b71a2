"""An answer in one sentence: the same for the office and for who gave it."""

from django.utils.translation import gettext as _

from faults.models import AnswerKind, QuoteAnswer
from faults.quotes.services.staying import option_words
from sites.models import today_at


def answer_words(answer: QuoteAnswer) -> str:
    """Return what was said, by whom and on which day."""
    words = {
        "who": answer.name,
        "day": today_at(answer.quote.fault.property, answer.at).isoformat(),
    }
    if answer.kind == AnswerKind.YES and answer.option is not None:
        option = option_words(answer.option)
        said = _("yes to “%(option)s” by %(who)s on %(day)s") % {**words, "option": option}
        return said + limit_words(answer)
    if answer.kind == AnswerKind.NO:
        return _("no, by %(who)s on %(day)s") % words
    return _("a question by %(who)s on %(day)s") % words


def limit_words(answer: QuoteAnswer) -> str:
    """Return the limits that were typed, empty where there are none."""
    found = []
    if answer.up_to_hours is not None:
        hours = f"{answer.up_to_hours:.2f}".rstrip("0").rstrip(".")
        found.append(_("up to %s man-hours") % hours)
    if answer.up_to_amount is not None:
        money = f"{answer.up_to_amount:,.2f} {answer.quote.currency}"
        found.append(_("up to %s before tax") % money)
    return "".join(f", {each}" for each in found)
