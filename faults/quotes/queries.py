"""Reads of quotes."""

from django.db.models import Max, Prefetch, QuerySet

from faults.models import Fault, Quote, QuoteLine, QuoteOption

# Options in the order in which they stand beside each other.
_LINES = Prefetch("lines", QuoteLine.objects.order_by("pk"))
_OPTIONS = Prefetch(
    "options",
    QuoteOption.objects.select_related("quote").prefetch_related(_LINES).order_by("pk"),
)


def with_options(rows: QuerySet[Quote]) -> QuerySet[Quote]:
    """Read the options and lines of quotes with them."""
    return rows.select_related("fault__property", "made_by").prefetch_related(_OPTIONS)


def quotes_of(fault: Fault) -> list[Quote]:
    """Return the versions of a fault's quote, the newest first."""
    return list(with_options(Quote.objects.filter(fault=fault)).order_by("-version"))


def newest_version(fault: Fault) -> int:
    """Return the newest version that was not withdrawn, or 0."""
    found = Quote.objects.filter(fault=fault, withdrawn_on=None).aggregate(newest=Max("version"))[
        "newest"
    ]
    return found or 0


def deepest_break_in(fault: Fault) -> float | None:
    """Return the depth of the deepest break that is not mended, in inches; None = not known."""
    rows = fault.breaks.filter(mended_on__isnull=True, depth_in__gt=0)
    deepest: float | None = rows.aggregate(deepest=Max("depth_in"))["deepest"]
    return deepest
