"""The document of a report, of whichever kind, in its language."""

import zoneinfo
from collections.abc import Callable, Sequence
from datetime import datetime

from django.utils import timezone, translation
from django.utils.translation import gettext as _

from reports.issued.services.asking import Asked, Scene
from reports.issued.services.case_reports import damage_sections, proof_sections
from reports.issued.services.faults_part import fault_sections
from reports.issued.services.goals_part import goal_sections
from reports.issued.services.off_part import off_sections
from reports.issued.services.owner_report import owner_sections
from reports.issued.services.round_report import round_sections
from reports.issued.services.water_part import water_sections
from reports.issued.services.whole_client import client_sections
from reports.issued.services.work_part import work_sections
from reports.models import ReportKind
from sites.documents.engines.document import Document, Section
from sites.models import Property, User, today_at
from sites.runs.services import Progress, Silent


def compose(
    asked: Asked, *, at: datetime, by: User | None, progress: Progress | None = None
) -> Document:
    """Return what a report says, read from the records as they are now."""
    with translation.override(asked.language):
        places = asked.places()
        sections = _SECTIONS[asked.kind](asked, places, at, progress or Silent())
        return Document(
            title=title_of(asked),
            subtitle=_subtitle(asked),
            language=asked.language,
            paper="a4" if asked.paper == "a4" else "letter",
            facts=_facts(asked, places, at, by),
            sections=sections,
            words={},
        )


def title_of(asked: Asked) -> str:
    """Name the report, in the language that is active."""
    titles: dict[str, Callable[[], str]] = {
        ReportKind.PROPERTY: lambda: _("Report on %s") % asked.place,
        ReportKind.CLIENT: lambda: _("Report on all properties of %s") % asked.client,
        ReportKind.OWNER: lambda: _("The owner's quarter"),
        ReportKind.PROOF: lambda: _("Proof of the work on fault %s") % asked.fault,
        ReportKind.DAMAGE: lambda: _("Evidence of damage: fault %s") % asked.fault,
        ReportKind.ROUND: lambda: _("Round done: %s") % asked.round,
    }
    return titles[asked.kind]()


def _subtitle(asked: Asked) -> str:
    if asked.kind == ReportKind.PROPERTY and asked.place:
        return asked.place.address
    return str(asked.place) if asked.place and (asked.fault or asked.round) else ""


def _facts(
    asked: Asked, places: Sequence[Property], at: datetime, by: User | None
) -> list[tuple[str, str]]:
    """Period, state of the data, who made it when: what each report says of itself."""
    zone = places[0].time_zone if places else "UTC"
    read = timezone.localtime(at, zoneinfo.ZoneInfo(zone))
    client = asked.client or (asked.place.client if asked.place else None)
    facts = [(_("Client"), str(client))] if client is not None else []
    facts.append((_("Period"), f"{asked.from_on.isoformat()} – {asked.until_on.isoformat()}"))
    facts.append((_("Data as of"), f"{read:%Y-%m-%d %H:%M} ({zone})"))
    facts.append((_("Made by"), str(by) if by is not None else _("the rule of a series")))
    return facts


def _property(
    asked: Asked, places: Sequence[Property], at: datetime, progress: Progress
) -> list[Section]:
    scene = Scene(asked, places[0], at)
    parts = (off_sections, fault_sections, water_sections, work_sections)
    sections: list[Section] = []
    for number, part in enumerate(parts):
        progress.say(_("Putting the report together"), number, len(parts))
        sections += part(scene)
    # A goal is the company's own, and nothing that its client was promised.
    if asked.is_for_client:
        return sections
    return sections + goal_sections(places, is_all=False, today=today_at(places[0], at))


_Make = Callable[[Asked, Sequence[Property], datetime, Progress], list[Section]]
_SECTIONS: dict[str, _Make] = {
    ReportKind.PROPERTY: _property,
    ReportKind.CLIENT: client_sections,
    ReportKind.OWNER: owner_sections,
    ReportKind.PROOF: proof_sections,
    ReportKind.DAMAGE: damage_sections,
    ReportKind.ROUND: round_sections,
}
