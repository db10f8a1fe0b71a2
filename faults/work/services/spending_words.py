"""What was spent of a limit, in words: the same on the fault's page, in lists and at the gate."""

from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.cases.services.man_hours import in_hours
from faults.cases.services.spending import NEAR, Limited, Money, Spending, hours_words
from faults.models import Job
from faults.work.services.ready_facts import ReadyFacts


def spent_words(spent: Spending, *, sees_prices: bool) -> str:
    """Return the running sums of a fault, empty where nothing was spent and nobody set a limit.

    Args:
        sees_prices: name sums of money; to others only the share of a limit is told.
    """
    found = [_hours_words(spent)]
    if sees_prices:
        found.append(_money_words(spent))
    found.append(near_words(spent.share))
    return " ".join(each for each in found if each)


def _hours_words(spent: Spending) -> str:
    used = hours_words(in_hours(spent.used_man_min))
    if spent.up_to_hours is not None:
        words = {"used": used, "limit": hours_words(spent.up_to_hours)}
        return _("%(used)s of %(limit)s man-hours used.") % words
    if spent.used_man_min > 0:
        return _("%s man-hours used. Nobody set a limit in hours.") % used
    return ""


def _money_words(spent: Spending) -> str:
    used = money_words(spent.money.amount, spent.currency)
    words = ""
    if spent.up_to_amount is not None:
        limit = money_words(spent.up_to_amount, spent.currency)
        words = _("%(used)s of %(limit)s before tax used.") % {"used": used, "limit": limit}
    elif spent.money.amount:
        words = _("%s before tax used.") % used
    if spent.money.billed:
        billed = money_words(spent.money.billed, spent.currency)
        words += " " + _("Of that %s is given to the books.") % billed
    return " ".join(each for each in (words, not_priced_words(spent.money)) if each)


def not_priced_words(money: Money) -> str:
    """Return that a sum is "at least", because something has no known price."""
    if not money.not_priced:
        return ""
    words = ngettext(
        "%s line or visit has no price: it is at least that much.",
        "%s lines or visits have no price: it is at least that much.",
        money.not_priced,
    )
    return words % money.not_priced


def near_words(share: float | None) -> str:
    """Return the warning from four fifths of a limit on, and what to do at its end."""
    if share is None or share < NEAR:
        return ""
    if share >= 1:
        return _("The limit leaves nothing: ask the client before the next visit.")
    return _("%s %% of the limit is used: ask the client before it ends.") % int(share * 100)


def used_up_words(facts: ReadyFacts, job: Job, day: date) -> str:
    """Return that what was allowed is used up, and what to do next.

    Sums of money are not named: who starts the job may not see prices.
    """
    limit = facts.limit_on(job, day)
    assert limit is not None
    spent = in_hours(facts.spent_before(job))
    if _is_full_of_hours(limit, spent):
        assert limit.up_to_hours is not None
        return _(
            "%(used)s of %(limit)s man-hours are used: the limit leaves nothing. Ask the client "
            "for more, and enter the new yes."
        ) % {"used": hours_words(spent), "limit": hours_words(limit.up_to_hours)}
    return _("The limit in money is used up. Ask the client for more, and enter the new yes.")


def _is_full_of_hours(limit: Limited, spent: Decimal) -> bool:
    return limit.up_to_hours is not None and 0 < limit.up_to_hours <= spent


def money_words(amount: Decimal, currency: str) -> str:
    """Return money to the cent with its currency, where one is known."""
    return f"{amount:,.2f} {currency}".rstrip()
