"""What the figures of a quote rest on: kept as names and figures, read in anyone's language."""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from faults.models import Quote
from faults.quotes.engines.quoting import OPENS_GROUND, OptionKind
from faults.quotes.services.told import QuoteFacts
from faults.work.engines.digging import dig_hours
from faults.work.services.ground_words import GROUND_WORDS
from sites.cells.engines.measures import DEPTH, LENGTH
from sites.models import Property

Told = tuple[str, dict[str, Any]]


def assumptions_of(facts: QuoteFacts, *, today: date) -> list[Told]:
    """Return the sentences that a quote is made with, as names and figures."""
    found: list[Told] = [("rates", {"day": today.isoformat()})]
    if facts.search_min is not None:
        likely, nine = facts.search_min
        found.append(("search", {"likely_h": likely / 60, "nine_h": nine / 60}))
    if facts.hole is not None and OPENS_GROUND & facts.options:
        hole = facts.hole
        sides = {name: getattr(hole, name) for name in ("length_ft", "width_in", "depth_in")}
        found.append(("hole", {**sides, "ground": facts.ground.value if facts.ground else ""}))
        if OptionKind.WE_DIG in facts.options:
            hours = dig_hours(hole, facts.ground)
            found.append(("digging", {"low_h": hours.low_h, "high_h": hours.high_h}))
        if hole.is_beyond_the_figures:
            found.append(("beyond", {}))
        found.append(("deeper", {}))
    if facts.work.searching_h and facts.search_min is None:
        found.append(_tracing(facts))
    return found


def _tracing(facts: QuoteFacts) -> Told:
    hours, done = facts.work.searching_h, facts.work.so_far_h
    if OptionKind.TIMER in facts.options and done != hours:
        return ("part of it", {"hours": str(hours), "done": str(done)})
    return ("so far", {"hours": str(hours)})


def words_of(quote: Quote) -> list[str]:
    """Return what a quote rests on, in sentences."""
    place = quote.fault.property
    return [_SAID[name](values, place) for name, values in quote.assumptions if name in _SAID]


def _hole(values: Mapping[str, Any], place: Property) -> str:
    words = {
        "length": LENGTH.in_words(values["length_ft"], place.units),
        "width": DEPTH.in_words(values["width_in"], place.units),
        "depth": DEPTH.in_words(values["depth_in"], place.units),
    }
    if not values["ground"]:
        return _("A hole of %(length)s by %(width)s, %(depth)s deep; the ground is not known.") % (
            words
        )
    ground = GROUND_WORDS[values["ground"]]
    return _("A hole of %(length)s by %(width)s, %(depth)s deep; the ground is %(ground)s.") % {
        **words,
        "ground": ground,
    }


def _hours(value: float | str) -> str:
    return f"{float(value):.2f}".rstrip("0").rstrip(".")


_SAID: dict[str, Callable[[Mapping[str, Any], Property], str]] = {
    "rates": lambda values, _place: _("Prices of %s.") % values["day"],
    "search": lambda values, _place: (
        _("A search here most likely takes %(likely)s h, nine times of ten under %(nine)s h.")
        % {"likely": _hours(values["likely_h"]), "nine": _hours(values["nine_h"])}
    ),
    "hole": _hole,
    "digging": lambda values, _place: (
        _("Digging by hand takes %(low)s to %(high)s h; the upper figure is priced.")
        % {"low": _hours(values["low_h"]), "high": _hours(values["high_h"])}
    ),
    "beyond": lambda _values, _place: _(
        "Larger or deeper than the holes that the figures come from: take them with care."
    ),
    "deeper": lambda _values, _place: _(
        "If it lies deeper or elsewhere, these prices do not hold: we make another quote."
    ),
    "so far": lambda values, _place: (
        _("%s h of tracing are in each price.") % _hours(values["hours"])
    ),
    "part of it": lambda values, _place: (
        _(
            "%(hours)s h of tracing are in each price of work; of them %(done)s h are recorded as "
            "done."
        )
        % {"hours": _hours(values["hours"]), "done": _hours(values["done"])}
    ),
}
