"""What the plan promised when searches began, against what they took."""

import statistics

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from faults.models import Search, SearchOutcome

# Fewer say nothing: one bad afternoon would be half of the answer.
LEAST = 5
MOST_READ = 2000


def promises_kept(searches: QuerySet[Search]) -> str:
    """Return in a sentence how the plan's minutes compare with those that searches took."""
    found = list(
        searches.filter(
            outcome=SearchOutcome.FOUND,
            expected_minutes__isnull=False,
            actual_minutes__isnull=False,
        )
        .order_by("-ended_at", "-pk")
        .values_list("expected_minutes", "actual_minutes")[:MOST_READ]
    )
    rows = [(promised or 0.0, took or 0) for promised, took in found]
    if len(rows) < LEAST:
        return _(
            "%(n)d searches found their break so far. From %(least)d on, this line says how well "
            "the plan's minutes are kept."
        ) % {"n": len(rows), "least": LEAST}
    expected = statistics.fmean(row[0] for row in rows)
    actual = statistics.fmean(row[1] for row in rows)
    longer = sum(took > promised for promised, took in rows)
    return _(
        "Of %(n)d searches that found their break, the plan expected %(expected)d minutes on "
        "average; they took %(actual)d. %(longer)d took longer than expected."
    ) % {
        "n": len(rows),
        "expected": round(expected),
        "actual": round(actual),
        "longer": longer,
    }
