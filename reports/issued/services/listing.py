"""Issued reports that list a break: asked before one is taken back."""

from collections.abc import Iterator
from typing import Any

from django.db.models import Q
from django.utils.translation import gettext as _

from faults.cases.services.break_back import recorded_at
from faults.models import Break
from reports.issued.services.faults_part import number_of
from reports.models import Report


def reports_that_list(one: Break, stays_found: bool) -> list[str]:
    """Return in words the issued reports in whose tables a break stands."""
    del stays_found  # what was handed out says what it says
    place, name = one.fault.property, number_of(one)
    about = Q(property=place) | Q(client=place.client_id) | Q(property=None, client=None)
    rows = Report.objects.filter(about, issued_at__gte=recorded_at(one))
    return [
        _("report %s") % report
        for report in rows.order_by("number", "version")
        if name in _texts(report.document)
    ]


def _texts(part: Any) -> Iterator[str]:
    """Yield each text of a document."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, dict | list):
        for each in part.values() if isinstance(part, dict) else part:
            yield from _texts(each)
