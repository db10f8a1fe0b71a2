"""How hotspots read: what stands out, what the evidence allows to say, and what it does not."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from reports.hotspots.engines.rates import Interval, TwoRates
from reports.hotspots.engines.scan import Together
from reports.hotspots.engines.trend import Direction, power_law
from reports.hotspots.queries import standing_on
from reports.hotspots.services.ranking import View
from reports.hotspots.services.rows import Row
from sites.cells.engines.units import FT_PER_M
from sites.models import Leg, Property, Units

RARE = 0.001


def headline(view: View) -> str:
    """State the finding."""
    count, total = view.flagged_count, len(view.rows)
    if view.ranked is None:
        return _("No located fault is in view")
    if not count:
        return (
            _("No property stands out from the others")
            if view.by_properties
            else _("No leg stands out from the others")
        )
    if view.by_properties:
        return ngettext(
            "%(n)s of %(of)s properties fails more than chance makes it",
            "%(n)s of %(of)s properties fail more than chance makes them",
            count,
        ) % {"n": count, "of": f"{total:,}"}
    return ngettext(
        "%(n)s of %(of)s legs fails more than chance makes it",
        "%(n)s of %(of)s legs fail more than chance makes them",
        count,
    ) % {"n": count, "of": f"{total:,}"}


def power_words(view: View) -> str:
    """Say how often a bad leg would be flagged: what "not flagged" is worth."""
    how_often = times_words(view.power)
    if view.by_properties:
        return _("A property three times as bad as the others would be flagged %s.") % how_often
    return _("A leg three times as bad as the others would be flagged %s.") % how_often


def times_words(chance: float) -> str:
    """Write a chance the way people say it."""
    if chance < RARE:
        return _("less than one time in 1,000")
    if chance < 0.15:
        return _("about one time in %s") % f"{round(1 / chance):,}"
    if chance > 0.95:
        return _("nearly every time")
    return _("about %s times in 10") % max(round(chance * 10), 2)


def chance_words(chance: float) -> str:
    """Write how rarely chance alone does something."""
    if chance < 1e-6:
        return _("less than once in a million")
    if chance > 0.5:
        return _("more often than not")
    return _("about once in %s") % f"{max(round(1 / chance), 2):,}"


def evidence(row: Row) -> str:
    """Say whether a row is flagged; not flagged is never the same as sound."""
    return _("flagged") if row.is_flagged else _("not enough evidence")


def direction_words(direction: Direction) -> str:
    """Say how faults come as time goes on."""
    words = {
        Direction.FASTER: _("faster"),
        Direction.SLOWER: _("slower"),
        Direction.NO_TREND_SHOWN: _("no trend shown"),
        Direction.TOO_FEW: _("too few to say"),
    }
    return words[direction]


def number(value: float) -> str:
    """Write a rate or a count with as many digits as mean anything."""
    if value == 0:
        return "0"
    if value >= 100:
        return f"{value:,.0f}"
    if value >= 0.1:
        return f"{value:.1f}" if value >= 10 else f"{value:.2f}"
    return f"{value:.2g}" if value >= 1e-4 else f"{value:.0e}"


def interval_words(limits: Interval) -> str:
    """Write an interval."""
    high = "∞" if limits.high == float("inf") else number(limits.high)
    return _("%(low)s to %(high)s") % {"low": number(limits.low), "high": high}


def counted_words(row: Row) -> str:
    """Write located faults, and beside them the share of those never located."""
    if row.spread < 0.005:
        return str(row.located)
    return f"{row.located} + {row.spread:.2f}"


def why(row: Row) -> list[str]:
    """Say in sentences why a leg stands where it does."""
    times = number(row.ratio)
    lines = [
        ngettext(
            "%(n)s fault was located on it in %(years)s years; legs of its length and wires would "
            "have had %(expected)s.",
            "%(n)s faults were located on it in %(years)s years; legs of its length and wires "
            "would have had %(expected)s.",
            row.located,
        )
        % {"n": row.located, "years": f"{row.years:.1f}", "expected": number(row.expected)},
    ]
    if row.spread >= 0.005:
        lines.append(
            _("Of faults that were never located, %s are likely to lie here as well.")
            % f"{row.spread:.2f}"
        )
    lines.append(
        _(
            "Taking in what all legs have in common, it fails %(times)s times as often as they "
            "do; from %(low)s to %(high)s times would go with what was seen."
        )
        % {
            "times": times,
            "low": number(row.ratio_limits.low),
            "high": number(row.ratio_limits.high),
        }
    )
    if row.is_flagged:
        lines.append(
            _(
                "Chance alone makes so many faults on a leg like this %s. Of the legs flagged on "
                "this page no more than one in ten should be flagged wrongly."
            )
            % chance_words(row.p)
        )
    else:
        lines.append(
            _(
                "Chance alone makes as many %s, and many legs are looked at: the evidence is not "
                "enough to flag it. That does not say that it is sound."
            )
            % chance_words(row.p)
        )
    return lines


def trend_words(row: Row) -> tuple[str, str]:
    """Return a title and a sentence about whether its faults come faster."""
    found, direction = row.trend, row.direction
    if direction is Direction.TOO_FEW:
        return (
            _("Too few faults to see a trend"),
            _("Three located faults are the least from which a trend can be told."),
        )
    titles = {
        Direction.FASTER: _("Its faults come faster"),
        Direction.SLOWER: _("Its faults come slower"),
        Direction.NO_TREND_SHOWN: _("No trend is shown"),
    }
    line = _("At a steady rate, days as uneven as these come %s.") % chance_words(found.p)
    if found.laplace is not None:
        line += " " + _("(Chi-square %(chi)s on %(df)s, Laplace %(u)s.)") % {
            "chi": f"{found.chi_square:.1f}",
            "df": found.degrees,
            "u": f"{found.laplace:+.2f}",
        }
    law = power_law(row.first.history)
    if law is not None and direction is not Direction.NO_TREND_SHOWN:
        line += " " + _("By now one comes about every %s days.") % f"{law.interval_now:,.0f}"
    return titles[direction], line


def length_words(length_ft: float, place: Property) -> str:
    """Write a length in the property's units, with a tenth where it is less than ten."""
    is_metric = place.units == Units.METRIC
    value = length_ft / float(FT_PER_M) if is_metric else length_ft
    return f"{value:,.{1 if value < 10 else 0}f} {'m' if is_metric else 'ft'}"


def along_words(found: Together | None, place: Property) -> str:
    """State how closely the faults of a leg lie together."""
    if found is None:
        return _("Where along the leg")
    words = {
        "n": found.count,
        "part": length_words(found.to_ft - found.from_ft, place),
        "length": length_words(found.length_ft, place),
    }
    if found.chance < 0.05:
        return _("All %(n)s placed faults lie within %(part)s of %(length)s: hardly chance") % words
    return _("The %(n)s placed faults lie within %(part)s of %(length)s, as chance may do") % words


def comparison_words(found: TwoRates | None) -> str:
    """Say what a comparison of two rates allows to say."""
    if found is None:
        return _("There is nothing to compare: no fault, or no time observed, on one side.")
    limits = interval_words(found.interval)
    if not found.differ:
        return _("No difference is shown: anything from %(limits)s times would go with it.") % {
            "limits": limits
        }
    times = _("many") if found.ratio is None else number(found.ratio)
    return _("%(times)s times the rate (%(limits)s); chance alone does that %(chance)s.") % {
        "times": times,
        "limits": limits,
        "chance": chance_words(found.p),
    }


def stands_on(leg: Leg) -> str:
    """Say which decision stands on a leg; empty where none does."""
    stands = standing_on(leg)
    if stands is None:
        return ""
    said = _("Decided on %(day)s: %(choice)s. %(why)s") % {
        "day": stands.decided_on,
        "choice": stands.get_choice_display(),
        "why": stands.why if stands.why.endswith((".", "!", "?")) else f"{stands.why}.",
    }
    if stands.look_again_on is None:
        return said
    return f"{said} " + _("Look again on %(day)s.") % {"day": stands.look_again_on}
