"""Reads of quotes."""

from django.db.models import Max, Prefetch, QuerySet

from faults.models import (
    CLOSED_STAGES,
    DECISIONS,
    Fault,
    FaultPhoto,
    Quote,
    QuoteAnswer,
    QuoteLine,
    QuoteLink,
    QuoteOption,
)

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


def decision_of(quote: Quote) -> QuoteAnswer | None:
    """Return the yes or no that stands."""
    rows = QuoteAnswer.objects.filter(quote=quote, kind__in=DECISIONS, reopened_on=None)
    return rows.select_related("option__quote", "asked", "quote__fault__property").first()


def link_with_options(link: QuoteLink) -> QuoteLink:
    """Read the quote of a link again, with its options and lines."""
    link.quote = with_options(Quote.objects.filter(pk=link.quote_id)).get()
    return link


def stations_of(quote: Quote, *, by_name: bool = False) -> list[str]:
    """Return the stations that are not done: their numbers alone, as who has the private address
    is told no more.

    Args:
        by_name: with their controllers and names, for a client's user who is signed in.
    """
    rows = quote.fault.stations.exclude(stage__in=CLOSED_STAGES).select_related(
        "station__controller"
    )
    ordered = rows.order_by("station__controller__name", "station__number", "pk")
    if by_name:
        return [f"{row.station} {row.station.name}".strip() for row in ordered]
    return [str(row.station.number) for row in ordered]


def photos_shown(quote: Quote) -> QuerySet[FaultPhoto]:
    """Return the photos that the office chose for the client and that are not hidden."""
    rows = FaultPhoto.objects.filter(pk__in=quote.photos.values("pk"), hidden_on__isnull=True)
    return rows.order_by("added_at", "pk")


def answers_of(quote: Quote) -> list[QuoteAnswer]:
    """Return all that was answered, the newest first."""
    rows = QuoteAnswer.objects.filter(quote=quote).select_related(
        "quote__fault__property", "option__quote", "entered_by"
    )
    return list(rows.order_by("-at", "-pk"))
