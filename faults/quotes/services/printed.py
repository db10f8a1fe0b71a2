"""A quote as a PDF: what the client's page shows, from the same functions."""

from collections.abc import Sequence
from datetime import datetime

from django.utils.text import capfirst
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from faults.models import FaultPhoto, Quote
from faults.quotes.queries import photos_shown
from faults.quotes.services.shown import Shown, ShownOption, depth_words
from faults.quotes.services.way import way_of
from faults.templatetags.jobs import money_in, unit_price
from sites.documents.engines import figures
from sites.documents.engines.document import (
    Block,
    Document,
    Facts,
    Figure,
    Paragraph,
    Photo,
    Photos,
    Section,
    Table,
)
from sites.documents.services.pdf import write_pdf
from sites.documents.services.pictures import for_paper
from sites.models import Units


def quote_pdf(quote: Quote, read: Shown, *, at: datetime) -> bytes:
    """Return the PDF of a quote, in the language that is active."""
    photos = list(photos_shown(quote))
    by_ref = {photo.ref: photo for photo in photos}
    document = quote_document(quote, read, photos)
    return write_pdf(document, photo=lambda ref: for_paper(by_ref[ref].file), at=at)


def quote_document(quote: Quote, read: Shown, photos: Sequence[FaultPhoto]) -> Document:
    """Return what a quote says: what was found, cautions, options, and what the figures rest on.

    Who has its private address reads it: nothing else of the property or the fault is in it.
    """
    place = quote.fault.property
    version = {"purpose": quote.get_purpose_display(), "version": quote.version}
    title = _("Quote for %(purpose)s, version %(version)s") % version
    known = [Paragraph(quote.found)] if quote.found else []
    if words := depth_words(quote):
        known.append(Paragraph(_("Depth: %(deep)s.") % {"deep": words}))
    way = way_of(quote)
    found: list[Block] = [*known, *([way] if way else []), *_photos(photos)]
    sections = [Section("found", _("What we know"), found)] if found else []
    if read.cautions:
        cautions = [Paragraph(words, "caution") for words in read.cautions]
        sections.append(Section("cautions", _("Beware"), cautions))
    sections += [_option(quote, option) for option in read.options]
    rests = [Paragraph(each, "soft") for each in read.assumptions]
    sections.append(Section("rests", _("What the figures rest on"), rests))
    return Document(
        title=title,
        subtitle=place.code,
        language=(get_language() or "en").partition("-")[0],
        paper="a4" if place.units == Units.METRIC else "letter",
        facts=[
            (_("Made on"), quote.made_on.isoformat()),
            (_("Valid until"), quote.valid_until.isoformat()),
            (_("Now"), read.standing_words),
        ],
        sections=sections,
        words={
            "author": "Rejoin",
            "named": place.code,
            "foot": f"{title}, {quote.made_on.isoformat()}",
            "page": _("Page"),
            "cover": _("Quote"),
        },
    )


def _photos(photos: Sequence[FaultPhoto]) -> list[Photos]:
    place = _("The place")
    shown = [Photo(each.ref, each.caption or place, each.caption) for each in photos]
    return [Photos(shown)] if shown else []


def _option(quote: Quote, option: ShownOption) -> Section:
    """An option with its lines and sums; what is not priced says so."""
    blocks: list[Block] = []
    if option.lines:
        rows = [
            [
                figures.text(capfirst(line.what)),
                figures.text(line.quantity),
                figures.text(unit_price(line.price)),
                figures.amount(line.amount, decimals=2),
            ]
            for line in option.lines
        ]
        headings = [_("What"), _("Quantity"), _("Price"), quote.currency]
        blocks += [Table("lines", "", headings, rows, [2, 3]), Facts("sums", _sums(quote, option))]
        if option.total.tax is None:
            blocks.append(Paragraph(_("Tax is not in it: no rate is known."), "soft"))
        if option.row.hours:
            hours = f"{option.row.hours:.2f}".rstrip("0").rstrip(".")
            blocks.append(Paragraph(_("%(hours)s man-hours") % {"hours": hours}, "soft"))
    else:
        blocks.append(Paragraph(_("Nothing to pay now.")))
    if option.month:
        blocks.append(Paragraph(option.month))
    return Section(f"option {option.kind}", str(capfirst(option.words)), blocks)


def _sums(quote: Quote, option: ShownOption) -> list[tuple[str, Figure]]:
    total = option.total
    rows = [(_("Net"), figures.text(money_in(total.net, quote.currency)))]
    if total.tax is not None and total.gross is not None:
        percent = f"{quote.tax_percent:f}".rstrip("0").rstrip(".")
        tax = _("Tax %(percent)s %%") % {"percent": percent}
        rows.append((tax, figures.text(money_in(total.tax, quote.currency))))
        rows.append((_("In all"), figures.text(money_in(total.gross, quote.currency))))
    return rows
