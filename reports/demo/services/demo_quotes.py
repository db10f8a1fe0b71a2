"""Prices, a quote that was sent, and days that were promised."""

from datetime import date, datetime, timedelta
from decimal import Decimal

from faults.cases.engines.stages import Stage
from faults.cases.queries import approvers_of
from faults.cases.services.man_hours import in_hours
from faults.cases.services.spending import spending_of
from faults.locating.services.minutes import search_minutes
from faults.models import Crew, Fault, JobKind, QuotePurpose
from faults.prices.engines.pricing import LUMP, Charge, Price
from faults.prices.services.lists import PriceFacts, PriceScope, change_prices
from faults.promises.services.promising import offers_of, promise_a_day
from faults.quotes.engines.quoting import OptionKind, Work
from faults.quotes.queries import deepest_break_in
from faults.quotes.services.links import send_quote
from faults.quotes.services.making import make_quote
from faults.quotes.services.told import QuoteFacts
from faults.work.engines.digging import Ground, Hole
from reports.demo.services.demo_past import add_visit
from sites.kernel.engines.roles import Role
from sites.models import Grant, User

# How long the crew was there that found what is quoted.
SOUGHT_MIN = 70


def make_demo_prices(*, by: User, today: date) -> None:
    """Enter what the invented company charges; every figure is made up."""
    hourly = {
        Charge.TRACING: 68,
        Charge.DIGGING: 62,
        Charge.MACHINE: 145,
        Charge.HELPER: 44,
        Charge.STANDBY: 46,
        Charge.OVERTIME: 96,
    }
    prices = [Price(charge, Decimal(rate)) for charge, rate in hourly.items()]
    prices += [Price(Charge.MINIMUM, Decimal(120), LUMP), Price(Charge.TRIP, Decimal(35), LUMP)]
    prices += [
        Price(Charge.MATERIAL, Decimal("0.38"), "ft", "14 AWG wire"),
        Price(Charge.MATERIAL, Decimal("4.20"), "each", "waterproof splice"),
    ]
    facts = PriceFacts("USD", Decimal("7.5"), prices)
    change_prices(scope=PriceScope(), facts=facts, on=today - timedelta(days=150), by=by)


def make_demo_quote(*, crew: Crew, by: User, at: datetime, today: date) -> None:
    """Quote one fault that is found, in three options, and send it: with the hours of the visit
    that found it."""
    found = Fault.objects.filter(stage=Stage.FOUND.value).select_related("property")
    fault = found.order_by("reported_on", "pk").reverse()[0]
    add_visit(fault, JobKind.LOCATE, crew, fault.reported_on, SOUGHT_MIN)
    facts = QuoteFacts(
        frozenset({OptionKind.WE_DIG, OptionKind.YOU_DIG, OptionKind.TIMER}),
        Work(
            searching_h=in_hours(spending_of(fault, at=at).used_man_min).quantize(Decimal("0.01")),
            mending_h=Decimal("0.75"),
            beside_them_h=Decimal(2),
            trips=Decimal(1),
            materials={"waterproof splice": Decimal(2)},
        ),
        today + timedelta(days=30),
        "A wire is cut in the ground.",
        Hole(3, 24, deepest_break_in(fault) or 18),
        Ground.FIRM,
        kept={"shows_plan": True},
    )
    quote = make_quote(
        fault=fault, purpose=QuotePurpose.DIG, facts=facts, by=by, today=today, at=at
    )
    send_quote(quote=quote, sent_to="the property's manager", by=by, at=at)


def make_demo_search_quote(*, by: User, at: datetime, today: date) -> None:
    """Quote a search to a client who has a user: so its own page has a quote to answer."""
    clients = Grant.objects.filter(role=Role.CLIENT.value).values("client")
    sought = Fault.objects.filter(
        property__client__in=clients, stage=Stage.SCHEDULED.value
    ).select_related("property")
    fault = sought.order_by("reported_on", "pk").last()
    if fault is None:
        return
    found = search_minutes(fault, today=today)
    facts = QuoteFacts(
        frozenset({OptionKind.SEARCH, OptionKind.TIMER}),
        Work(searching_h=Decimal(2), trips=Decimal(1)),
        today + timedelta(days=30),
        "A valve does not run from the controller; what is wrong is not known yet.",
        search_min=(found.most_likely, found.nine_of_ten) if found else None,
        kept={"shows_plan": True},
    )
    quote = make_quote(
        fault=fault, purpose=QuotePurpose.SEARCH, facts=facts, by=by, today=today, at=at
    )
    approvers = approvers_of(fault.property)
    who = approvers[0].name if approvers else "the property's manager"
    send_quote(quote=quote, sent_to=who, by=by, at=at)


def make_demo_promises(*, by: User, at: datetime, today: date) -> None:
    """Promise a day for two faults that have a visit planned, as sure as the plan is."""
    planned = Fault.objects.filter(jobs__state="planned").order_by("pk").distinct()
    for fault in planned[:2]:
        offers = offers_of(fault, today=today, at=at)
        if offers:
            offer = max(offers, key=lambda each: each.tenths)
            approvers = approvers_of(fault.property)
            promise_a_day(
                fault=fault,
                offer=offer,
                said_to=approvers[0].name if approvers else "the property's manager",
                by=by,
                today=today,
                at=at,
            )
