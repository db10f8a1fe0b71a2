"""How long stopgaps last, in the owner's quarter: as of the last day of its period."""

from datetime import date, timedelta

import pytest

from faults.models import Fault
from reports.issued.services.composing import compose
from reports.lasting.services.words import median_words
from reports.lasting.services.working_out import worked_out
from reports.models import Audience, ReportKind
from sites.documents.engines.document import Document, Drawing, Facts, Paragraph, Section, Table
from sites.kernel.engines.roles import Role
from sites.models import Property
from sites.runs.services import Silent
from tests import make, make_reports
from tests.make_reports import AT, LAST
from tests.services.issued.reading import figures_alike_everywhere

pytestmark = pytest.mark.django_db

OURS = {"kind": ReportKind.OWNER.value, "audience": Audience.US.value}
ONE_DAY = timedelta(days=1)


def of_owner() -> Document:
    return compose(make_reports.asked(None, **OURS), at=AT, by=None)


def part(document: Document) -> Section:
    (found,) = [one for one in document.sections if one.key == "lasting"]
    return found


def facts(section: Section) -> dict[str, str]:
    return {
        name: figure.words
        for block in section.blocks
        if isinstance(block, Facts)
        for name, figure in block.rows
    }


def table(section: Section, key: str) -> list[list[str]]:
    (found,) = [one for one in section.blocks if isinstance(one, Table) and one.key == key]
    return [[cell.words for cell in row] for row in found.rows]


@pytest.fixture
def place(db: None) -> Property:
    """Six stations were off for 20 to 25 days, for one of two reasons, one still is."""
    controller = make.controller()
    for n in range(14):
        start = date(2025, 3, 1) + timedelta(days=n)
        ended = start + timedelta(days=20 + n) if n < 12 else None
        reason = "wire" if n % 2 else "valve or solenoid"
        station = make.station(controller=controller)
        make.stopgap(station=station, on=start, removed_on=ended, reason=reason)
    return controller.property


def test_it_says_what_the_page_says_as_of_the_last_day(place: Property) -> None:
    section = part(of_owner())
    kept = worked_out(Silent(), places=[place.pk], today=LAST)
    assert facts(section)["Half are over after"] == median_words(kept["all"])
    assert (facts(section)["Times off"], facts(section)["Still going on"]) == ("14", "2")
    assert [row[0] for row in table(section, "reason")] == ["valve or solenoid", "wire"]
    assert [row[1:3] for row in table(section, "reason")] == [["7", "1"], ["7", "1"]]
    assert table(section, "endings")[0][0] == "back, nobody wrote how"
    (drawing,) = [one for one in section.blocks if isinstance(one, Drawing)]
    assert "<polyline" in drawing.svg


@pytest.mark.parametrize(
    ("begun", "over", "counted"),
    [
        (LAST - ONE_DAY, None, ("15", "3")),
        # It began on the last day, or later: nothing was seen of it yet.
        (LAST, None, ("14", "2")),
        (LAST + ONE_DAY, None, ("14", "2")),
        # It was over on the last day, or only later.
        (date(2025, 9, 1), LAST, ("15", "2")),
        (date(2025, 9, 1), LAST + ONE_DAY, ("15", "3")),
    ],
)
def test_what_came_after_the_last_day_is_not_in_it(
    place: Property, begun: date, over: date | None, counted: tuple[str, str]
) -> None:
    controller = place.controllers.get()
    make.stopgap(station=make.station(controller=controller), on=begun, removed_on=over)
    section = part(of_owner())
    assert (facts(section)["Times off"], facts(section)["Still going on"]) == counted
    assert not any("before records began" in getattr(one, "words", "") for one in section.blocks)


def test_four_at_once_are_too_few_and_none_says_so(db: None) -> None:
    clock = make.controller()
    assert "No station has been off" in str(part(of_owner()).blocks)
    for _n in range(4):
        make.stopgap(station=make.station(controller=clock), on=date(2025, 3, 1))
    (words,) = [one for one in part(of_owner()).blocks if isinstance(one, Paragraph)]
    assert words.words.startswith("Too few times off are known")
    make.stopgap(station=make.station(controller=clock), on=date(2025, 3, 1))
    assert facts(part(of_owner()))["Half are over after"] == "not reached in 244 days"


@pytest.mark.parametrize(("language", "paper"), [("en", "letter"), ("es", "a4")])
@pytest.mark.parametrize("kind", [ReportKind.OWNER, ReportKind.CLIENT])
def test_every_figure_is_the_same_in_pdf_workbook_and_page(
    place: Property, language: str, paper: str, kind: ReportKind
) -> None:
    make_reports.court(client=place.client)
    client = place.client if kind == ReportKind.CLIENT else None
    given = {**OURS, "kind": kind.value, "client": client, "language": language, "paper": paper}
    draft = make_reports.draft(None, make.user(Role.OWNER), **given)
    assert figures_alike_everywhere(draft) > 40


@pytest.mark.parametrize("kind", [ReportKind.PROOF, ReportKind.DAMAGE])
def test_so_is_every_figure_of_a_fault(db: None, kind: ReportKind) -> None:
    place = make_reports.court()
    fault = Fault.objects.get(property=place)
    given = {"kind": kind.value, "fault": fault, "from_on": fault.reported_on}
    draft = make_reports.draft(place, make.user(Role.OWNER), **given)
    assert figures_alike_everywhere(draft) > 10
