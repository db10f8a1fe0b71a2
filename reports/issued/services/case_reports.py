"""One fault: proof of the work on it, and evidence of damage by others."""

from collections.abc import Sequence
from datetime import datetime

from django.utils.translation import gettext as _

from faults.billing.queries import lines_with_batches
from faults.billing.services.claims import cost_of
from faults.models import Break, DamageClaim, Fault, LineBasis, Notice
from reports.issued.queries import with_details
from reports.issued.services.asking import Asked, Scene
from reports.issued.services.faults_part import (
    STAGE_WORDS,
    breaks_table,
    breaks_until,
    hours_table,
    photo_blocks,
    place_words,
    plain_symptom,
    proofs_table,
    stage_on,
)
from sites.documents.engines import figures
from sites.documents.engines.document import Block, Facts, Figure, Paragraph, Section, Table
from sites.models import Property
from sites.runs.services import Progress


def _fault(asked: Asked) -> Fault:
    assert asked.fault is not None
    return with_details(Fault.objects.filter(pk=asked.fault.pk)).get()


def proof_sections(
    asked: Asked, places: Sequence[Property], at: datetime, progress: Progress
) -> list[Section]:
    """Return what was reported, found, mended, proven and returned, with hours and photos."""
    progress.say(_("Putting the report together"))
    fault, scene = _fault(asked), Scene(asked, places[0], at)
    sections = [
        Section("fault", _("What was reported"), [_reported(fault), _stations(scene, fault)]),
        Section("moves", _("How it went"), [_moves(scene, fault)]),
    ]
    if found := breaks_until(fault, scene.until_on):
        sections.append(Section("breaks", _("What was found"), [breaks_table(scene, found)]))
    elif fault.is_outside_the_wire():
        words = f"{fault.get_cause_side_display()}: {fault.cause_outside}".rstrip(": ")
        sections.append(Section("cause", _("What was found"), [Paragraph(words)]))
    if proven := proofs_table(scene, [fault]):
        sections.append(Section("proofs", _("What was proven"), [proven]))
    sections.append(Section("hours", _("Spent"), [hours_table(scene, [fault])]))
    return sections + _photos(scene, fault)


def _photos(scene: Scene, fault: Fault) -> list[Section]:
    photos = photo_blocks(scene, [fault])
    return [Section("photos", _("Photos"), photos, is_now=True)] if photos else []


def _reported(fault: Fault) -> Facts:
    rows = [
        (_("Reported"), figures.day(fault.reported_on)),
        (_("Symptom"), figures.text(plain_symptom(fault))),
    ]
    if fault.summary:
        rows.append((_("Summary"), figures.text(fault.summary)))
    if fault.order_number:
        rows.append((_("The client's order number"), figures.text(fault.order_number)))
    if fault.promised_on:
        rows.append((_("Promised by"), figures.day(fault.promised_on)))
        if hours := fault.promised_hours():
            rows.append((_("Promised between"), figures.text(hours)))
    if fault.closed_on:
        rows.append((_("Closed"), figures.day(fault.closed_on)))
    return Facts("reported", rows)


def _stations(scene: Scene, fault: Fault) -> Table:
    rows = []
    for row in fault.stations.all():
        stage = stage_on(row, scene.until_on)
        rows.append(
            [
                figures.text(f"{row.station} {row.station.name}".strip()),
                figures.text(STAGE_WORDS[stage.value] if stage else ""),
                figures.text(row.get_how_returned_display() if row.how_returned else ""),
            ]
        )
    return Table("stations", "", [_("Station"), _("Stage"), _("How returned")], rows)


def _moves(scene: Scene, fault: Fault) -> Table:
    """The moves of all stations, equal ones of a day in one line. Who made them is ours to know."""
    lines: dict[tuple[str, str], list[str]] = {}
    moves = [(move, row) for row in fault.stations.all() for move in row.moves.all()]
    for move, row in sorted(moves, key=lambda each: (each[0].moved_at, each[0].pk)):
        on = move.on or move.moved_at.date()
        if on <= scene.until_on:
            words = str(move.get_to_stage_display())
            lines.setdefault((on.isoformat(), words), []).append(str(row.station))
    rows = [
        [Figure(on), Figure(words), Figure(", ".join(dict.fromkeys(stations)))]
        for (on, words), stations in lines.items()
    ]
    return Table("moves", "", [_("On"), _("Stage"), _("Stations")], rows)


def damage_sections(
    asked: Asked, places: Sequence[Property], at: datetime, progress: Progress
) -> list[Section]:
    """Return place, cause and traces of damage, notices given, and what it costs."""
    progress.say(_("Putting the report together"))
    fault, scene = _fault(asked), Scene(asked, places[0], at)
    found = breaks_until(fault, scene.until_on)
    blocks: list[Block] = [_evidence(scene, one) for one in found]
    if not found:
        blocks = [Paragraph(_("No break is recorded on this fault yet."))]
    sections = [
        Section("fault", _("What was reported"), [_reported(fault), _stations(scene, fault)]),
        Section("breaks", _("What was found"), blocks),
    ]
    if notices := _notices(fault):
        sections.append(Section("notices", _("Notices given"), [notices]))
    sections += _claims(scene, fault)
    return sections + _photos(scene, fault)


def _evidence(scene: Scene, one: Break) -> Facts:
    not_known = _("not known")
    rows = [
        (_("Place"), figures.text(place_words(scene, one))),
        (_("Found"), figures.day(one.found_on, not_known)),
        (_("Depth"), scene.depth(one.depth_in) if one.depth_in is not None else Figure(not_known)),
        (_("Cause"), figures.text(one.get_cause_display())),
        (_("Cut or nick"), figures.text(one.get_damage_display() if one.damage else not_known)),
        (_("Wires"), figures.text(", ".join(str(each) for each in one.wires.all()) or not_known)),
        (_("Who was on site"), figures.text(one.who_was_on_site or not_known)),
        (_("Liable party"), figures.text(one.liable_party or not_known)),
        (_("Their notice number"), figures.text(one.notice_number or not_known)),
        (_("Mended"), figures.day(one.mended_on, not_known)),
        (_("How mended"), figures.text(one.how_mended or not_known)),
    ]
    if one.latitude is not None and one.longitude is not None:
        at = f"{one.latitude:.5f}, {one.longitude:.5f}"
        rows.insert(1, (_("Latitude, longitude"), Figure(at)))
    if one.notes:
        rows.append((_("Notes"), figures.text(one.notes)))
    return Facts(f"break {one.running_number}", rows)


def _notices(fault: Fault) -> Table | None:
    rows = [
        [
            figures.text(one.ticket),
            figures.day(one.given_at.date()),
            figures.text(one.area),
            figures.day(one.proposed_start_on),
        ]
        for one in Notice.objects.filter(fault=fault, cancelled_on=None).order_by("given_at", "pk")
    ]
    headings = [_("Ticket number"), _("Given"), _("Where the dig is"), _("Proposed start")]
    return Table("notices", "", headings, rows) if rows else None


def _claims(scene: Scene, fault: Fault) -> list[Section]:
    claim = DamageClaim.objects.filter(fault=fault, dropped_on=None).order_by("pk").first()
    blocks: list[Block] = []
    if claim is not None:
        rows = [
            (_("Liable party"), figures.text(claim.liable_party)),
            (_("Claim number"), figures.text(claim.claim_number or _("not known"))),
            (_("Claimed on"), figures.day(claim.made_on)),
            (_("Paid on"), figures.day(claim.paid_on, _("not paid yet"))),
        ]
        if claim.statement:
            rows.append((_("Statement"), figures.text(claim.statement)))
        blocks.append(Facts("claim", rows))
    if scene.asked.shows_prices:
        blocks += _cost(fault)
    return [Section("claim", _("The claim"), blocks)] if blocks else []


def _cost(fault: Fault) -> list[Block]:
    jobs = fault.jobs.order_by("pk").values_list("pk", flat=True)
    lines = [line for line in lines_with_batches(list(jobs)) if line.basis == LineBasis.DAMAGE]
    rows = [
        [
            figures.text(line.what),
            figures.amount(line.quantity, decimals=2),
            figures.text(line.unit),
            Figure(_("not known"))
            if line.amount is None
            else figures.amount(line.amount, decimals=2),
            figures.text(getattr(line, "currency", "")),
        ]
        for line in lines
    ]
    headings = [_("What"), _("Quantity"), _("Unit"), _("Before tax"), _("Currency")]
    table = Table("cost", _("What the damage costs"), headings, rows, [1, 3],
                  _("No line for damage is entered yet."))  # fmt: skip
    if not rows:
        return [table]
    return [
        table,
        Facts("cost total", [(_("All"), figures.text(" + ".join(cost_of(lines).words)))]),
    ]
