"""What is said of a leg that could be renewed, and the same as a file."""

from collections.abc import Iterator, Sequence
from math import isinf
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from reports.decisions.services.weighing import Answer, LegWeighed
from sites.cells.services.writing import Written

MOST_NAMED = 8


def advice(one: LegWeighed, answer: Answer) -> str:
    """Say why a leg is in, or what it would need."""
    found = one.found
    if one.is_in:
        return _("In: it saves more than its work, and its share of what is paid once, cost.")
    if found.gain <= 0:
        if found.waiting_cost > 0:
            return _("Waiting costs, yet over these years it does not pay: mend it as it breaks.")
        return _("Mending as it breaks costs less.")
    if one.needs is None:
        return _("It would pay, but does not fit into this money.")
    return _("It would pay; it comes in once it gains %s.") % f"{one.needs:,.0f}"


def not_weighed(answer: Answer, places: Sequence[int]) -> str:
    """Name the legs that could not be weighed, the first few of them."""
    rows = answer.rows(places[:MOST_NAMED])
    names = ", ".join(f"{row.name} ({row.place.code})" for row in rows)
    left = len(places) - MOST_NAMED
    if left <= 0:
        return names
    return ngettext("%(names)s and %(n)s more", "%(names)s and %(n)s more", left) % {
        "names": names,
        "n": left,
    }


def payback_words(years: float) -> str:
    """Return the years until the savings have paid for it."""
    return _("never") if isinf(years) else f"{years:.1f}"


def written(answer: Answer, currency: str) -> Written:
    """Return every leg that was weighed as one list; its money is in one currency."""
    headings = [
        _("Leg"), _("Property"), _("In the set"), _("Faults located"), _("Faults a year"),
        _("Currency"), _("Cost of the work"), _("How it is laid"), _("Saved a year"),
        _("Gain over the years"),
        _("It pays, renewed alone"), _("It pays, renewed with neighbours"),
        _("Cost of waiting a season"),
        _("Chance that waiting costs"), _("Payback, years"),
    ]  # fmt: skip

    def lines() -> Iterator[list[Any]]:
        for one in answer.legs:
            found = one.found
            yield [
                one.row.name, str(one.place), _("yes") if one.is_in else _("no"),
                one.row.located, round(one.leg.rate, 4), currency, round(one.leg.cost, 2), one.how,
                round(found.saved_a_year, 2), round(found.gain, 2),
                round(one.alone.chance_pays, 4), round(found.chance_pays, 4),
                round(found.waiting_cost, 2),
                round(found.chance_waiting_costs, 4),
                "" if isinf(found.payback_years) else round(found.payback_years, 2),
            ]  # fmt: skip
        for why, places in (
            (_("not weighed: cost not known"), answer.not_priced),
            (_("not weighed: not observed"), answer.not_observed),
        ):
            for row in answer.rows(places):
                yield [row.name, str(row.place), why, row.located, *[""] * (len(headings) - 4)]

    return Written(_("Renew first"), headings, lines)
