"""The few legs that matter, in plain words: how bad, what they cost so far, and what to do."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from faults.cases.services.man_hours import in_hours, spent_man_min, visits_made
from faults.cases.services.spending import hours_words
from faults.models import Cause
from faults.prices.engines.pricing import Prices
from faults.prices.services.holding import PriceBook
from reports.hotspots.queries import faults_on_legs
from reports.hotspots.services.ranking import View
from reports.hotspots.services.replacing import HOURS_A_FAULT
from reports.hotspots.services.rows import Row
from sites.kernel.access import may
from sites.kernel.engines.roles import Action
from sites.models import User, today_at

MOST = 5
PLAIN_FROM = 3

# Common practice of the trade, no source: what is done against a cause where it comes back.
AGAINST: Mapping[str, Promise] = {
    Cause.RODENT.value: gettext_lazy("Gnawed again and again: a conduit keeps rodents off."),
    Cause.SHOVEL.value: gettext_lazy(
        "Hit by shovels: lay it deeper or in conduit, with a warning tape above it, and mark where "
        "it lies."
    ),
    Cause.TRENCHING.value: gettext_lazy(
        "Cut by trenches: mark where it lies, and have it located before anybody digs there."
    ),
    Cause.ROOT.value: gettext_lazy("Pulled by roots: lead it around the tree, with slack."),
    Cause.ROCK.value: gettext_lazy("Chafed by rocks: bed it in sand, or put it in conduit."),
    Cause.SPLICE.value: gettext_lazy(
        "Its splices fail: make them again with sealed connectors, in a box above the wet."
    ),
    Cause.CORROSION.value: gettext_lazy(
        "It corrodes: look for nicks and leaking splices, and renew what is green."
    ),
    Cause.AGE.value: gettext_lazy("It is worn out: single mends will not hold, weigh a renewal."),
    Cause.LIGHTNING.value: gettext_lazy(
        "Struck by lightning: have grounding and surge protection looked at."
    ),
}
NO_CAUSE_LEADS = gettext_lazy("No known cause leads: look where along it the faults lie first.")


@dataclass(frozen=True)
class Taken:
    """What visits to its faults took: of how many of them a visit is written down."""

    man_min: float
    known: int
    faults: int


@dataclass(frozen=True)
class Mattering:
    """One leg, or one property, with its sentences."""

    row: Row
    times: str
    found: str
    cost: str
    advice: str
    may_weigh: bool


def few_that_matter(view: View, *, user: User) -> list[Mattering]:
    """Return the worst of the flagged rows, at most five."""
    rows = view.rows.flagged[:MOST]
    taken = {} if view.by_properties or not view.scope.is_whole else _taken(view, rows)
    book = PriceBook.of([row.place for row in rows] if taken else [])
    found = []
    for row in rows:
        sees = may(user, Action.SEE_RATES, row.place)
        prices = book.at(row.place, today_at(row.place)) if sees else None
        cost = cost_words(taken[row.at], prices) if row.at in taken else ""
        advice = AGAINST.get(_main_cause(row), NO_CAUSE_LEADS)
        may_weigh = sees and not row.is_property
        found.append(
            Mattering(row, times_plainly(row.ratio), _found(row), cost, str(advice), may_weigh)
        )
    return found


def times_plainly(ratio: float) -> str:
    """Say how many times as often, with no more digits than anybody can use."""
    shown = f"{ratio:,.0f}" if ratio >= PLAIN_FROM else f"{ratio:.1f}"
    return _("%s times as often as the rest") % shown


def cost_words(taken: Taken, prices: Prices | None) -> str:
    """Say what visits took; where none is written down, that it is not known, with an example."""
    if not taken.known:
        hours = Decimal(HOURS_A_FAULT) * taken.faults
        words = _("At %(each)s man-hours a fault, for example, it would be %(hours)s man-hours") % {
            "each": f"{HOURS_A_FAULT:g}",
            "hours": hours_words(hours),
        }
        return _("What it took is not known: no visit is written down. %s.") % _at(
            prices, hours, words
        )
    hours = in_hours(taken.man_min)
    words = _at(prices, hours, _("Visits took %s man-hours so far") % hours_words(hours))
    if taken.known < taken.faults:
        part = {"words": words, "known": taken.known, "faults": taken.faults}
        return _("%(words)s; written down for %(known)s of %(faults)s faults.") % part
    return f"{words}."


def _at(prices: Prices | None, hours: Decimal, words: str) -> str:
    rate = prices.labour_rate() if prices else None
    if prices is None or not rate:
        return words
    money = f"{hours * rate:,.0f} {prices.currency}".rstrip()
    return _("%(words)s, %(money)s at your labour rate") % {"words": words, "money": money}


def _found(row: Row) -> str:
    words = ngettext(
        "%(n)s fault in %(years)s years", "%(n)s faults in %(years)s years", row.located
    ) % {"n": row.located, "years": f"{row.years:.1f}"}
    if row.main_cause:
        words = _("%(words)s, mostly: %(cause)s") % {"words": words, "cause": row.main_cause}
    return _("%(words)s; the last on %(day)s.") % {"words": words, "day": row.last or "—"}


def _main_cause(row: Row) -> str:
    return row.causes[0][0] if row.main_cause else ""


def _taken(view: View, rows: Sequence[Row]) -> dict[int, Taken]:
    """Return by row what the visits to the faults that it counts took."""
    evidence = view.watched.evidence
    row_of_leg: dict[int, int] = {}
    since: dict[int, int] = {}
    for row in rows:
        for part in (evidence.part_of == row.members[0]).nonzero()[0].tolist():
            leg = int(evidence.part_leg[part])
            row_of_leg[leg], since[leg] = row.at, int(evidence.part_since[part])
    faults: dict[int, set[int]] = {row.at: set() for row in rows}
    for leg, fault, day in faults_on_legs(row_of_leg):
        if since[leg] <= day.toordinal() < view.watched.until:
            faults[row_of_leg[leg]].add(fault)
    visits, members = visits_made({one for each in faults.values() for one in each})
    minutes: dict[int, float] = {}
    for job in visits:
        assert job.fault_id is not None
        spent = spent_man_min(job, members)
        minutes[job.fault_id] = minutes.get(job.fault_id, 0.0) + spent
    return {
        at: Taken(
            sum(minutes.get(one, 0.0) for one in each),
            sum(one in minutes for one in each),
            len(each),
        )
        for at, each in faults.items()
    }
