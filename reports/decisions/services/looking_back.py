"""What was expected on the day of a decision, and what came."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from reports.decisions.engines.renewing import Count, look_back
from reports.decisions.queries import faults_since, renewed_since
from reports.hotspots.queries import decided_anew
from reports.models import Choice, Decision
from sites.models import Renewal, today_at

DAYS_A_YEAR = 365.25
ONE_DAY = timedelta(days=1)
# Below it no count says anything.
LEAST_YEARS = 0.25


@dataclass(frozen=True)
class Looked:
    """A decision with what came after it.

    `count` holds what came against what a leg left as it was would have brought; until it was
    renewed, until it was decided anew, or until today. None where nothing was known on its day.
    """

    decision: Decision
    renewal: Renewal | None
    count: Count | None
    years: float
    anew_on: date | None = None  # the day on which a newer decision took its place

    @property
    def words(self) -> str:
        """What came of it, in sentences."""
        return " ".join(each for each in (self._anew(), self._done(), self._came()) if each)

    def _anew(self) -> str:
        return _("Until %s, then decided anew.") % self.anew_on if self.anew_on else ""

    def _done(self) -> str:
        if self.decision.choice == Choice.NOT_NOW:
            return _("Renewed after all on %s.") % self.renewal.on if self.renewal else ""
        if self.renewal is None:
            return "" if self.anew_on else _("Not done yet.")
        return _("Done on %s.") % self.renewal.on

    def _came(self) -> str:
        if self.count is None:
            return ""
        if self.years < LEAST_YEARS:
            return _("Too short a time to compare.")
        seen = ngettext("%(n)s fault came", "%(n)s faults came", self.count.seen) % {
            "n": self.count.seen
        }
        if self._is_after:
            words = _("%(seen)s in %(years)s years since; left as it was, %(low)s to %(high)s.")
        else:
            words = _("%(seen)s in %(years)s years; expected were %(low)s to %(high)s.")
        shown = {"seen": seen, "years": f"{self.years:.1f}", "low": self.count.low}
        return words % {**shown, "high": self.count.high}

    @property
    def _is_after(self) -> bool:
        return self.renewal is not None


def looked_back(decisions: Collection[Decision]) -> list[Looked]:
    """Return each decision with what came of it.

    Where the leg was renewed, what is compared is the time since: a renewal that helps brings
    fewer than what was to be expected of the leg as it was. What came after a newer decision is
    told of that one.
    """
    anew = decided_anew({each.leg_id for each in decisions})
    return [_looked(each, today_at(each.leg.property), anew.get(each.pk)) for each in decisions]


def _looked(decision: Decision, today: date, anew_on: date | None) -> Looked:
    until = anew_on or today
    renewal = renewed_since(decision.leg, decision.decided_on)
    if renewal is not None and anew_on is not None and renewal.on >= anew_on:
        renewal = None
    start = decision.decided_on if renewal is None else renewal.on
    years = max((until - start).days, 0) / DAYS_A_YEAR
    if decision.shape is None or decision.years_behind is None:
        return Looked(decision, renewal, None, years, anew_on)
    # What was reported on the day of a decision was known then: it is part of what was expected.
    first = start + ONE_DAY if renewal is None else start
    seen = faults_since(decision.leg, first, until + ONE_DAY if anew_on else until)
    count = look_back(decision.shape, decision.years_behind, years, seen)
    return Looked(decision, renewal, count, years, anew_on)
