"""The files of a report: set from its document, and read back from the database."""

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.utils import translation
from django.utils.translation import gettext as _

from faults.models import FaultPhoto
from reports.models import Draft, Report, ReportFile
from sites.documents.engines.document import Document, from_json
from sites.documents.services.pdf import write_pdf
from sites.documents.services.pictures import for_paper
from sites.documents.services.workbook import write_document

PDF, XLSX = "report.pdf", "report.xlsx"
CONTENT_TYPES = {
    ".pdf": "application/pdf",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".jpg": "image/jpeg",
}


@dataclass(frozen=True)
class Named:
    """What stands at the head and foot of each page."""

    name: str
    foot: str


def as_named(report: Report) -> Named:
    """Name an issued report: number, version, and what its data hashes to."""
    return Named(str(report), _foot(str(report), report.issued_at, report.data_sha256))


def _foot(name: str, issued_at: datetime, data_sha256: str) -> str:
    words = {"name": name, "day": issued_at.date().isoformat(), "hash": data_sha256[:12]}
    return _("%(name)s, issued on %(day)s, check code %(hash)s") % words


def named_document(kept: Mapping[str, Any], named: Named) -> Document:
    """Return a kept document with the words that its renderers add, in its own language."""
    words = {
        "author": "Rejoin",
        "named": named.name,
        "foot": named.foot,
        "page": _("Page"),
        "cover": _("Report"),
    }
    return replace(from_json(kept), words=words)


def draft_pdf(draft: Draft) -> bytes:
    """Return the PDF of a draft, which says on each page that it is one."""
    with translation.override(draft.language):
        document = named_document(draft.document, Named(_("Draft"), _("Draft, not issued")))
    return write_pdf(document, photo=photo_now, at=draft.made_at)


def draft_workbook(draft: Draft) -> bytes:
    """Return the workbook of a draft."""
    with translation.override(draft.language):
        document = named_document(draft.document, Named(_("Draft"), _("Draft, not issued")))
    return write_document(document)


def set_files(report: Report, *, photos: Callable[[str], bytes]) -> list[ReportFile]:
    """Return the unsaved files of a report: PDF, workbook, and a copy of each photo."""
    with translation.override(report.language):
        document = named_document(report.document, as_named(report))
    copies = {f"{each.ref}.jpg": photos(each.ref) for each in document.photos()}
    pdf = write_pdf(document, photo=lambda ref: copies[f"{ref}.jpg"], at=report.issued_at)
    contents = {PDF: pdf, XLSX: write_document(document), **copies}
    return [
        ReportFile(
            report=report,
            name=name,
            sha256=hashlib.sha256(content).hexdigest(),
            size=len(content),
            content=content,
        )
        for name, content in contents.items()
    ]


def photo_now(ref: str) -> bytes:
    """Return a photo of a fault as it is now, as wide as paper needs it."""
    return for_paper(FaultPhoto.objects.get(ref=ref).file)


def canonical(document: Mapping[str, Any]) -> bytes:
    """Return a document as bytes that are the same for the same figures, to be hashed."""
    return json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def data_hash(document: Mapping[str, Any]) -> str:
    """Return the hash of what a report says."""
    return hashlib.sha256(canonical(document)).hexdigest()


def is_whole(file: ReportFile) -> bool:
    """Return whether the bytes of a file still are those that were issued."""
    return hashlib.sha256(bytes(file.content)).hexdigest() == file.sha256
