"""What the rooms of this app built on a break: asked before one is taken back."""

from collections.abc import Iterator
from typing import Any

from django.utils.translation import gettext as _

from faults.cases.services.break_back import recorded_at
from faults.models import Break, DamageClaim, Job, Quote, QuotePurpose


def built_on(one: Break, stays_found: bool) -> list[str]:
    """Return in words what was made since a break was recorded and says what it said.

    Where the fault is found without the break, a planned dig stands on that.
    """
    return [*_quotes(one), *_claims(one), *([] if stays_found else _digs(one))]


def _quotes(one: Break) -> Iterator[str]:
    rows = Quote.objects.filter(fault=one.fault_id, purpose=QuotePurpose.DIG, withdrawn_on=None)
    for quote in rows.order_by("version"):
        if _made_since(one, quote):
            yield _("quote %s") % quote


def _claims(one: Break) -> Iterator[str]:
    rows = DamageClaim.objects.filter(fault=one.fault_id, dropped_on=None)
    for claim in rows.order_by("pk") if one.liable_party else ():
        if _made_since(one, claim):
            yield _("the claim for damage: %s") % claim


def _digs(one: Break) -> Iterator[str]:
    rows = Job.objects.open().filter(fault=one.fault_id, opens_ground=True)
    for job in rows.order_by("pk"):
        if _made_since(one, job):
            yield _("the planned job: %s") % job


def _made_since(one: Break, row: Any) -> bool:
    made_at = row.history.earliest("history_date", "history_id").history_date
    return bool(made_at >= recorded_at(one))
