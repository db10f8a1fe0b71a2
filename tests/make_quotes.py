"""Make faults that are found, and their quotes; name only what the test is about."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from faults.cases.engines.stages import Stage
from faults.models import Fault, Quote, QuotePurpose
from faults.quotes.engines.quoting import OptionKind, Work
from faults.quotes.services.links import send_quote
from faults.quotes.services.making import make_quote
from faults.quotes.services.told import QuoteFacts
from faults.work.engines.digging import Ground, Hole
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make

D = Decimal
# The worked example: 1.75 h to locate, 0.4 h of travel, 0.5 h to mend, half an hour of waiting.
EXAMPLE = QuoteFacts(
    frozenset({OptionKind.WE_DIG, OptionKind.YOU_DIG}),
    Work(
        searching_h=D("1.75"),
        travel_h=D("0.4"),
        mending_h=D("0.5"),
        waiting_h=D("0.5"),
        beside_them_h=D(2),
    ),
    make.TODAY + timedelta(days=30),
    "The wire is cut beside the walk.",
    Hole(3, 24, 18),
    Ground.FIRM,
)


def found_fault(**given: Any) -> Fault:
    """Make a fault of one station, found at a break 18 in deep."""
    where = given.pop("station", None) or make.station()
    fault = make.fault(where, stage=Stage.FOUND.value, **given)
    make.break_found(fault=fault, depth_in=18.0, found_on=date(2025, 6, 10))
    return fault


def quote(fault: Fault | None = None, **given: Any) -> Quote:
    """Make a quote of the worked example. A price list has to be there."""
    today = given.pop("today", make.TODAY)
    at = given.pop("at", None) or timezone.now()
    purpose = given.pop("purpose", QuotePurpose.DIG)
    by = given.pop("by", None) or make.user(Role.DISPATCHER)
    return make_quote(
        fault=fault or found_fault(),
        purpose=purpose,
        facts=replace(EXAMPLE, **given),
        by=by,
        today=today,
        at=at,
    )


def secret_of(quote: Quote, *, by: User, at: datetime | None = None) -> str:
    """Send a quote and return the secret of its private address."""
    address = send_quote(quote=quote, sent_to="Ann Field", by=by, at=at or timezone.now())
    return address.rstrip("/").rpartition("/")[2]
