"""The report on a property: what it says, and that PDF, workbook and page say the same.

Counts and sums are compared with those that the pages themselves ask for, or counted by hand.
"""

from datetime import date, timedelta

import pytest

from reports.issued.queries import stations_off_between
from reports.issued.services.asking import Asked
from reports.issued.services.composing import compose
from reports.issued.services.files import Named, draft_pdf, draft_workbook, named_document
from reports.off_central.queries import off_groups
from sites.documents.engines.document import Document, Facts, Section, Table
from sites.documents.services.pdf import write_pdf
from sites.kernel.engines.roles import Role
from sites.models import Property, Station, User
from sites.water.queries.meters import totals_of
from sites.water.services.past import ledger_between, meters_on
from tests import make, make_reports
from tests.make_reports import AT, FIRST, LAST
from tests.services.issued.reading import (
    cells_of,
    figures_alike_everywhere,
    pages_of,
    squeezed,
    words_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def place(db: None) -> Property:
    return make_reports.court()


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER)


def said(asked: Asked) -> Document:
    return compose(asked, at=AT, by=None)


def section(document: Document, key: str) -> Section:
    (found,) = [each for each in document.sections if each.key == key]
    return found


def table(document: Document, key: str, name: str) -> list[list[str]]:
    (found,) = [
        block
        for block in section(document, key).blocks
        if isinstance(block, Table) and block.key == name
    ]
    return [[cell.words for cell in row] for row in found.rows]


def facts(document: Document, key: str) -> dict[str, str]:
    (found,) = [each for each in section(document, key).blocks if isinstance(each, Facts)]
    return {name: figure.words for name, figure in found.rows}


def test_off_central_at_start_and_end_with_what_came_and_went_between(
    place: Property, owner: User
) -> None:
    document = said(make_reports.asked(place))
    rows = {row[0]: row[1:] for row in table(document, "off central", "by reason")}
    assert rows == {
        "wire": ["2", "0", "1", "1"],
        "valve or solenoid": ["0", "1", "0", "1"],
        "All": ["2", "1", "1", "2"],
    }
    for day, column in ((FIRST - timedelta(days=1), 0), (LAST, 3)):
        on_page = {group.reason: group.count for group in off_groups(owner, day, place)}
        assert sum(on_page.values()) == int(rows["All"][column])
    assert [row[:3] for row in table(document, "changes", "changes")] == [
        ["2025-09-15", "A:2 Rear bed", "came back to central control"],
        ["2025-10-04", "A:3 Slope", "went off central control"],
    ]


@pytest.mark.parametrize(
    ("first", "last", "shown"),
    [
        # It came back on 15 September and went off on 4 October.
        (date(2025, 9, 14), date(2025, 9, 14), []),
        (date(2025, 9, 15), date(2025, 9, 15), ["2025-09-15"]),
        (date(2025, 9, 16), date(2025, 10, 3), []),
        (date(2025, 10, 3), date(2025, 10, 4), ["2025-10-04"]),
    ],
)
def test_a_change_belongs_to_its_own_day(
    place: Property, first: date, last: date, shown: list[str]
) -> None:
    document = said(make_reports.asked(place, from_on=first, until_on=last))
    assert [row[0] for row in table(document, "changes", "changes")] == shown


def test_a_station_whose_reason_changed_neither_came_nor_went(place: Property) -> None:
    station = Station.objects.get(number="3", controller__property=place)
    stopgap = station.stopgaps.get()
    stopgap.removed_on = date(2025, 10, 20)
    stopgap.save()
    make.stopgap(station=station, on=date(2025, 10, 20), reason="wire")
    document = said(make_reports.asked(place))
    rows = table(document, "changes", "changes")
    assert rows[-1] == [
        "2025-10-20",
        "A:3 Slope",
        "is off for another reason",
        "the valve itself needs repair; now: a wire in the ground is broken",
        "",
    ]
    assert table(document, "off central", "by reason")[-1] == ["All", "2", "2", "2", "2"]


def test_a_fault_with_place_cause_depth_and_proof(place: Property) -> None:
    document = said(make_reports.asked(place))
    (row,) = table(document, "faults", "breaks")
    assert row[1] == "2025-08-20"
    assert "12 ft from" in row[2]
    assert row[3:] == ["14 in", "rodent", "2025-09-01", "gel splices"]
    (proof,) = table(document, "proofs", "proofs")
    assert proof[1:] == ["2025-09-02", "23.6", "31.3", "", "", "5, from central"]
    assert [photo.caption[-11:] for photo in document.photos()] == ["2025-08-20.", "2025-09-01."]


def test_what_was_found_after_the_period_is_not_told_in_it(place: Property) -> None:
    document = said(make_reports.asked(place, from_on=date(2025, 7, 1), until_on=date(2025, 8, 19)))
    assert [each.key for each in section(document, "faults").blocks if isinstance(each, Table)] == [
        "faults",
        "hours",
    ]
    until_found = make_reports.asked(place, from_on=date(2025, 7, 1), until_on=date(2025, 8, 20))
    (row,) = table(said(until_found), "faults", "breaks")
    assert row[5:] == ["", ""]


def test_water_is_at_least_where_something_is_not_known(place: Property) -> None:
    document = said(make_reports.asked(place, shows_prices=True))
    found = facts(document, "water")
    assert found["More than needed, gal"].startswith("at least ")
    by_station = {row[0]: row[1:] for row in table(document, "water", "by station")}
    assert by_station["A:3 Slope"][0] == "not known"
    assert "when it waters" in by_station["A:3 Slope"][-1]
    assert by_station["A:1 Lawn by the gate"][-1] == ""


def test_water_since_a_station_went_off_is_that_of_its_meter(place: Property) -> None:
    lawn = Station.objects.get(number="1", controller__property=place)
    since, until = date(2025, 7, 18), date(2025, 11, 1)
    meter = meters_on([lawn.pk], until)[lawn.pk]
    rows = ledger_between([lawn.pk], since, until)[lawn.pk]
    assert sum(row.excess_gal or 0 for row in rows) == pytest.approx(meter.excess_gal)
    assert sum(row.cost or 0 for row in rows) == pytest.approx(meter.cost)


def test_water_of_two_periods_of_whole_months_is_that_of_both(place: Property) -> None:
    keys = stations_off_between(place, FIRST, LAST)
    edges = (date(2025, 8, 1), date(2025, 9, 1), date(2025, 11, 1))

    def excess(first: date, until: date) -> float:
        ledger = ledger_between(keys, first, until)
        return sum(row.excess_gal or 0.0 for rows in ledger.values() for row in rows)

    both = excess(edges[0], edges[1]) + excess(edges[1], edges[2])
    assert both == pytest.approx(excess(edges[0], edges[2]))
    assert totals_of([]).excess_gal == 0


def test_money_stands_in_it_only_where_it_was_asked_for(place: Property) -> None:
    without = said(make_reports.asked(place))
    assert "Cost" not in str([section.blocks for section in without.sections])
    with_money = said(make_reports.asked(place, shows_prices=True))
    assert any("Cost of the excess" in name for name in facts(with_money, "water"))


def test_metric_units_and_spanish(place: Property) -> None:
    document = said(make_reports.asked(place, language="es", units="metric", paper="a4"))
    (row,) = table(document, "faults", "breaks")
    assert "4 m" in row[2]
    assert any("m³" in name for name in facts(document, "water"))
    assert document.title == "Informe sobre COURT"


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_every_figure_is_the_same_in_pdf_workbook_and_page(
    place: Property, owner: User, paper: str, language: str
) -> None:
    draft = make_reports.draft(place, owner, paper=paper, language=language, shows_prices=True)
    assert figures_alike_everywhere(draft) > 100


def test_each_page_has_its_number_and_says_that_it_is_a_draft(place: Property, owner: User) -> None:
    pages = pages_of(draft_pdf(make_reports.draft(place, owner)))
    assert len(pages) > 1
    for number, page in enumerate(pages, start=1):
        assert f"Page {number} / {len(pages)}" in page
        assert "Draft, not issued" in page


def test_what_a_user_typed_is_words_on_paper_and_no_formula_in_a_workbook(
    place: Property, owner: User
) -> None:
    station = Station.objects.get(number="1", controller__property=place)
    station.name = '=1+1 #set page(width: 1pt) [*"]'
    station.save()
    draft = make_reports.draft(place, owner)
    assert squeezed(f"A:1 {station.name}") in words_of(draft_pdf(draft))
    assert not [
        cell
        for sheet in cells_of(draft_workbook(draft))
        for row in sheet
        for cell in row
        if cell.startswith("=")
    ]


def test_a_client_is_not_told_of_the_day_of_a_visit_nor_of_our_own_reminders(
    place: Property,
) -> None:
    for_client = said(make_reports.asked(place))
    assert section(for_client, "waits").is_now
    (waits,) = section(for_client, "waits").blocks
    assert isinstance(waits, Table)
    assert waits.headings[1] == "What happens next"


def test_the_same_document_is_the_same_bytes(place: Property, owner: User) -> None:
    draft = make_reports.draft(place, owner)
    document = named_document(draft.document, Named("R", "R"))
    photo = make.picture_file().read()
    first = write_pdf(document, photo=lambda _ref: photo, at=AT)
    assert write_pdf(document, photo=lambda _ref: photo, at=AT) == first


def test_a_property_without_anything_is_told_in_sentences(owner: User) -> None:
    bare = make.place()
    draft = make_reports.draft(bare, owner)
    words = words_of(draft_pdf(draft))
    for sentence in (
        "No station was off central control.",
        "No fault was open in this time.",
        "Nothing falls due.",
    ):
        assert squeezed(sentence) in words
