"""Make a quote, or the next version of one, and withdraw it."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal

from django.utils.translation import gettext as _

from faults.cases.services.man_hours import in_hours
from faults.cases.services.spending import spending_of
from faults.models import CLOSED_STAGES, Fault, Quote, QuoteLine, QuoteOption, QuotePurpose
from faults.prices.engines.pricing import Prices
from faults.prices.services.holding import prices_at
from faults.prices.services.words import CHARGE_WORDS
from faults.quotes.engines.quoting import (
    FOR_A_DIG,
    FOR_A_SEARCH,
    Option,
    OptionKind,
    Unpriced,
    option_of,
)
from faults.quotes.services.assumed import assumptions_of
from faults.quotes.services.staying import STAYS, what_stands
from faults.quotes.services.timer import month_on_a_timer
from faults.quotes.services.told import QuoteFacts, UnableToQuote
from faults.work.engines.digging import UnableToEstimate, dig_hours, exact_hours, fill_hours
from faults.work.engines.safety import DEEPEST_IN
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because, was_wrong
from sites.kernel.services.verbs import verb
from sites.models import User

LONGEST_VALID = timedelta(days=366)
HUNDREDTH = Decimal("0.01")


@verb(
    name="make a quote",
    action=Action.ASK_CLIENT,
    guard="the fault is open; something to choose; every price is known, in one currency; valid "
    "from today on, a year at most; a depth that may be dug",
    undo="withdraw a quote",
)
def make_quote(
    *, fault: Fault, purpose: str, facts: QuoteFacts, by: User, today: date, at: datetime
) -> Quote:
    """Keep the next version of the fault's quote, at the prices of today."""
    if fault.stage in CLOSED_STAGES:
        raise UnableToQuote(_("This fault is closed. Open it again first."))
    _refuse_days(facts, today)
    prices = prices_at(fault.property, today)
    if not prices.currency:
        raise UnableToQuote(
            _("In which currency? Enter a price list for the company, the client or the property.")
        )
    full = _with_the_hole(_with_what_is_done(facts, fault, purpose, at))
    offered = FOR_A_SEARCH if purpose == QuotePurpose.SEARCH else FOR_A_DIG
    chosen = [kind for kind in offered if kind in facts.options]
    if not any(kind is not OptionKind.TIMER for kind in chosen):
        raise UnableToQuote(_("What can the client choose? Tick at least one."), field="options")
    options = [_priced(kind, full, prices) for kind in chosen]
    quote = Quote.objects.create(
        fault=fault,
        version=_next_version(fault),
        purpose=purpose,
        made_on=today,
        made_by=by,
        valid_until=facts.valid_until,
        currency=prices.currency,
        tax_percent=prices.tax_percent,
        found=facts.found.strip(),
        depth_in=facts.hole.depth_in if facts.hole else None,
        facts=dict(facts.kept),
        assumptions=[
            *assumptions_of(full, today=today),
            (STAYS, {"kinds": what_stands(fault, today=today)}),
        ],
    )
    quote.photos.set(each for each in facts.photos if each.fault_id == fault.pk)
    for option in options:
        _keep(quote, option, today)
    return quote


@verb(
    name="withdraw a quote",
    action=Action.ASK_CLIENT,
    guard="it is not withdrawn; why",
    undo="make a quote: the next version",
)
def withdraw_quote(*, quote: Quote, why: str, today: date) -> None:
    """End a quote: nobody can answer it any more."""
    reason = was_wrong(why)
    if quote.withdrawn_on is not None:
        raise UnableToQuote(_("This quote is withdrawn already."))
    quote.withdrawn_on = today
    save_because(quote, reason)


def _refuse_days(facts: QuoteFacts, today: date) -> None:
    if not today <= facts.valid_until <= today + LONGEST_VALID:
        raise UnableToQuote(
            _("Valid until when? Today at the earliest, and a year ahead at most."),
            field="valid_until",
        )
    if facts.hole is not None and facts.hole.depth_in > DEEPEST_IN:
        raise UnableToQuote(
            _("Deeper than 20 ft needs an engineer's design (29 CFR 1926.652). Do not dig."),
            field="depth_in",
        )


def _with_what_is_done(facts: QuoteFacts, fault: Fault, purpose: str, at: datetime) -> QuoteFacts:
    """Add the recorded man-hours: a client who lets it be pays for no others.

    Of what was found the office may charge less than is recorded, and then nobody pays more.
    """
    done = in_hours(spending_of(fault, at=at).used_man_min).quantize(HUNDREDTH, ROUND_HALF_UP)
    if purpose == QuotePurpose.DIG:
        done = min(done, facts.work.searching_h)
    return replace(facts, work=replace(facts.work, so_far_h=done))


def _with_the_hole(facts: QuoteFacts) -> QuoteFacts:
    """Add the hours of digging, at the upper figure, and of filling."""
    if facts.hole is None or OptionKind.WE_DIG not in facts.options:
        return facts
    try:
        digging = dig_hours(facts.hole, facts.ground)
    except UnableToEstimate:
        raise UnableToQuote(
            _(
                "No figure for digging this ground by hand was found. Leave out that we dig, or "
                "quote a machine."
            ),
            field="ground",
        ) from None
    work = replace(
        facts.work,
        digging_h=exact_hours(digging.high_h),
        filling_h=exact_hours(fill_hours(facts.hole)),
    )
    return replace(facts, work=work)


def _priced(kind: OptionKind, facts: QuoteFacts, prices: Prices) -> Option:
    try:
        option = option_of(kind, facts.work, prices)
    except Unpriced as lacking:
        what = lacking.name or CHARGE_WORDS[lacking.charge.value]
        raise UnableToQuote(
            _("No price is known for: %s. Enter it in a price list, or leave it out.") % what
        ) from None
    if not option.lines and kind is not OptionKind.TIMER:
        raise UnableToQuote(
            _("An option without hours costs nothing. Fill in what it takes."), field="options"
        )
    return option


def _next_version(fault: Fault) -> int:
    rows = Quote.objects.filter(fault=fault)
    last = rows.order_by("-version").values_list("version", flat=True).first()
    return (last or 0) + 1


def _keep(quote: Quote, option: Option, today: date) -> None:
    month: Decimal | None = None
    is_least = False
    if option.kind is OptionKind.TIMER:
        month, is_least = month_on_a_timer(quote.fault, today=today)
    kept = QuoteOption.objects.create(
        quote=quote,
        kind=option.kind.value,
        hours=option.hours,
        month_cost=month,
        month_is_least=is_least,
    )
    for line in option.lines:
        QuoteLine.objects.create(
            option=kept,
            charge=line.price.charge.value,
            name=line.price.name,
            quantity=line.quantity,
            unit=line.price.unit,
            price=line.price.price,
        )
