"""Two decisions of the demo's owner: one that can be looked back on, one of this month."""

from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Count

from faults.billing.services.penalties import note_penalty
from faults.cases.engines.stages import Stage
from faults.models import Break, Fault, JobState
from reports.decisions.services.deciding import decide
from reports.decisions.services.knowing import cost_as_kept, known_of, seen_of
from reports.hotspots.services.replacing import DEFAULTS
from reports.models import Choice, Decision
from sites.models import Leg, User

# Of an average fault; the page asks for it, as no visit of the demo's past is written down.
FAULT_COST = 640.0
PAID = Decimal(120)


def make_demo_decisions(*, by: User, today: date) -> None:
    """Decide on the two legs with most breaks, unless anything was decided."""
    if Decision.objects.exists():
        return
    _pay_a_client()
    counts = Break.objects.filter(leg__isnull=False).order_by().values_list("leg")
    often = [key for key, _n in counts.annotate(n=Count("pk")).order_by("-n", "leg")[:2]]
    said = (
        (Choice.NOT_NOW, 400, 420, "The bed above it is replanted next year, then with it"),
        (Choice.RENEW, 12, 90, "It fails again and again; in conduit, before the season"),
    )
    for key, (choice, days_ago, look_after, why) in zip(often, said, strict=False):
        leg = Leg.objects.select_related("property").get(pk=key)
        day = today - timedelta(days=days_ago)
        seen = seen_of(leg, by=by, today=day)
        cost = cost_as_kept(seen)
        known = known_of(
            seen,
            fault_cost=FAULT_COST,
            renewal_cost=None if cost is None else round(cost.alone, 2),
            past=None,
            **DEFAULTS,
        )
        decide(
            leg=leg, choice=choice.value, why=why, look_again_on=day + timedelta(days=look_after),
            known=known, by=by, today=day,
        )  # fmt: skip


def _pay_a_client() -> None:
    """One fault that took too long: something was paid for it, so that it costs more."""
    rows = Fault.objects.filter(stage=Stage.RETURNED.value, jobs__state=JobState.DONE.value)
    late = rows.order_by("reported_on", "pk").first()
    if late is not None:
        note_penalty(fault=late, penalty=PAID)
