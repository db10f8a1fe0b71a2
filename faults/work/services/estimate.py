"""How long a hole takes by hand, and what the visit may come to: always a range."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from faults.models import LineKind as Lines
from faults.work.engines.digging import (
    Ground,
    Hole,
    Hours,
    LineKind,
    Quote,
    QuoteLine,
    UnableToEstimate,
    dig_hours,
    exact_hours,
    fill_hours,
    quote_for,
)
from faults.work.services.lines import rate_on
from sites.models import Property


@dataclass(frozen=True)
class Estimate:
    """Hours, and money where the rates are known; or words that say why there are none."""

    digging: Hours | None = None
    filling_h: float = 0.0
    all_hours: Hours | None = None
    low: Quote | None = None
    high: Quote | None = None
    labour_rate: Decimal | None = None
    standby_rate: Decimal | None = None
    is_beyond: bool = False
    refusal: str = ""


def estimate(place: Property, asked: Mapping[str, Any], *, today: date) -> Estimate:
    """Return the estimate for a hole, the ground, and what else was filled in."""
    hole = Hole(asked["length_ft"], asked["width_in"], asked["depth_in"])
    ground = Ground(asked["ground"]) if asked.get("ground") else None
    try:
        digging = dig_hours(hole, ground)
    except UnableToEstimate:
        return Estimate(
            refusal=_(
                "No figure for digging this ground by hand was found. Take the hours of a like "
                "job, or have a machine priced."
            )
        )
    filling_h = fill_hours(hole)
    other = asked.get("other_hours") or Decimal(0)
    rest = filling_h + float(other)
    labour, standby = (
        rate_on(place, kind, today, digs=True) for kind in (Lines.TIME, Lines.STANDBY)
    )
    return Estimate(
        digging=digging,
        filling_h=filling_h,
        all_hours=Hours(digging.low_h + rest, digging.high_h + rest),
        low=_quote(digging.low_h, filling_h, other, asked, labour, standby),
        high=_quote(digging.high_h, filling_h, other, asked, labour, standby),
        labour_rate=labour,
        standby_rate=standby,
        is_beyond=hole.is_beyond_the_figures,
    )


def _quote(
    digging_h: float,
    filling_h: float,
    other_h: Decimal,
    asked: Mapping[str, Any],
    labour: Decimal | None,
    standby: Decimal | None,
) -> Quote | None:
    waiting = asked.get("standby_hours") or Decimal(0)
    if labour is None or (waiting and standby is None):
        return None
    parts = asked.get("parts")
    return quote_for(
        labour_hours=[exact_hours(digging_h), exact_hours(filling_h), other_h],
        labour_rate=labour,
        standby_hours=waiting,
        standby_rate=standby or Decimal(0),
        parts=[QuoteLine(LineKind.PARTS, Decimal(1), parts)] if parts else [],
    )
