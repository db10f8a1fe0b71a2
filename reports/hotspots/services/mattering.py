"""The few legs that matter, in plain words: how bad, what they cost so far, and what to do."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from faults.cases.services.man_hours import in_hours, spent_man_min, visits_made
from faults.cases.services.spending import hours_words
from faults.models import Cause
from faults.prices.engines.pricing import Prices
from faults.prices.services.holding import PriceBook
from reports.hotspots.queries import faults_on_legs
from reports.hotspots.services.past import Past, past_of
from reports.hotspots.services.ranking import View
from reports.hotspots.services.replacing import HOURS_A_FAULT
from reports.hotspots.services.rows import Row
from sites.kernel.access import properties_for
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
    priced = list(properties_for(user, Action.SEE_RATES).order_by("pk")) if rows else []
    book = PriceBook.of(priced if taken else [])
    past = None
    if any(not each.known for each in taken.values()):
        past = past_of(priced, today=timezone.localdate(), book=book)
    seen, found = {place.pk for place in priced}, []
    for row in rows:
        sees = row.place.pk in seen
        prices = book.at(row.place, today_at(row.place)) if sees else None
        cost = cost_words(taken[row.at], prices, past) if row.at in taken else ""
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


def cost_words(taken: Taken, prices: Prices | None, past: Past | None = None) -> str:
    """Say what visits took; where none is written down, that it is not known, with an example.

    Args:
        prices: None for who may not see them. past: what one of the company's own faults cost; it
            goes before our own guess of hours.
    """
    if not taken.known:
        return _("What it took is not known: no visit is written down. %s.") % (
            _as_own_past(taken, prices, past) or _as_guessed(taken, prices)
        )
    hours = in_hours(taken.man_min)
    words = _("Visits took %s man-hours so far") % hours_words(hours)
    if (money := _labour(prices, hours)) is not None:
        words = _("%(words)s, %(money)s at your labour rate, without charges and water") % {
            "words": words,
            "money": money,
        }
    if taken.known < taken.faults:
        part = {"words": words, "known": taken.known, "faults": taken.faults}
        return _("%(words)s; written down for %(known)s of %(faults)s faults.") % part
    return f"{words}."


def _as_own_past(taken: Taken, prices: Prices | None, past: Past | None) -> str:
    if prices is None or past is None or past.currency != prices.currency:
        return ""
    return _("At %(each)s a fault, what your own cost on average with visits, charges and water, "
             "it would be %(sum)s") % {
        "each": f"{past.mean:,.0f} {past.currency}".rstrip(),
        "sum": f"{round(past.mean) * taken.faults:,.0f} {past.currency}".rstrip(),
    }  # fmt: skip


def _as_guessed(taken: Taken, prices: Prices | None) -> str:
    hours = Decimal(HOURS_A_FAULT) * taken.faults
    words = _("At %(each)s man-hours a fault, for example, it would be %(hours)s man-hours") % {
        "each": f"{HOURS_A_FAULT:g}",
        "hours": hours_words(hours),
    }
    money = _labour(prices, hours)
    if money is None:
        return words
    return _("%(words)s, %(money)s at your labour rate") % {"words": words, "money": money}


def _labour(prices: Prices | None, hours: Decimal) -> str | None:
    rate = prices.labour_rate() if prices else None
    if prices is None or not rate:
        return None
    return f"{hours * rate:,.0f} {prices.currency}".rstrip()


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
