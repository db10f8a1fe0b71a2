"""Faults of a period: place, cause, how mended, what was proven, hours and money, photos."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.cases.engines.stages import Stage, least_advanced
from faults.cases.services.man_hours import in_hours
from faults.cases.services.spending import Spending, spending_of
from faults.models import (
    STAGE_CHOICES,
    Break,
    Fault,
    FaultPhoto,
    FaultStation,
    Proof,
    Reading,
    Shows,
    Symptom,
)
from reports.issued.queries import faults_between
from reports.issued.services.asking import Scene
from sites.documents.engines import figures
from sites.documents.engines.document import Block, Figure, Photo, Photos, Section, Table

STAGE_WORDS = dict(STAGE_CHOICES)
MOST_PHOTOS = 24
_SHOWN_FIRST = {Shows.BEFORE.value: 0, Shows.PLACE.value: 1, Shows.AFTER.value: 2}


def fault_sections(scene: Scene, level: int = 1) -> list[Section]:
    """Return the part on faults."""
    faults = faults_between(scene.place, scene.from_on, scene.until_on)
    blocks: list[Block] = [_list(scene, faults)]
    if broken := [one for fault in faults for one in breaks_until(fault, scene.until_on)]:
        blocks.append(breaks_table(scene, broken))
    if faults:
        blocks.append(hours_table(scene, faults))
    sections = [Section("faults", _("Faults"), blocks, level)]
    if proven := proofs_table(scene, faults):
        sections.append(Section("proofs", _("What was proven"), [proven], level + 1))
    if photos := photo_blocks(scene, faults):
        sections.append(Section("photos", _("Photos"), photos, level + 1, is_now=True))
    return sections


def stage_on(row: FaultStation, day: date) -> Stage | None:
    """Return the stage of a station at the end of a day; None where it was not in the fault yet."""
    stage = None
    for move in row.moves.all():
        if (move.on or move.moved_at.date()) <= day:
            stage = Stage(move.to_stage)
    return stage


def _list(scene: Scene, faults: Sequence[Fault]) -> Table:
    rows = []
    for fault in faults:
        stages = [stage_on(row, scene.until_on) for row in fault.stations.all()]
        known = [stage for stage in stages if stage is not None]
        rows.append(
            [
                figures.text(fault),
                figures.day(fault.reported_on),
                figures.text(", ".join(str(row.station) for row in fault.stations.all())),
                figures.text(plain_symptom(fault)),
                figures.text(STAGE_WORDS[least_advanced(known).value] if known else ""),
                figures.text(_returned(fault, scene.until_on)),
            ]
        )
    return Table(
        "faults",
        _("Open in this time, by the day of the report"),
        [_("Fault"), _("Reported"), _("Stations"), _("Symptom"), _("Stage at the end"),
         _("How returned")],
        rows,
        [],
        _("No fault was open in this time."),
    )  # fmt: skip


def _returned(fault: Fault, until: date) -> str:
    ways = [
        str(row.get_how_returned_display())
        for row in fault.stations.all()
        if row.how_returned and stage_on(row, until) is Stage.RETURNED
    ]
    return ", ".join(dict.fromkeys(ways))


def breaks_until(fault: Fault, day: date) -> list[Break]:
    """Return the breaks of a fault that were found by a day, or on a day that nobody wrote down."""
    return [one for one in fault.breaks.all() if one.found_on is None or one.found_on <= day]


# For who is not of the trade: what the trouble is, and its name in the trade once.
_PLAIN_SYMPTOMS: dict[str, Promise] = {
    Symptom.OPEN: gettext_lazy("nothing gets through the wire (open circuit)"),
    Symptom.SHORT: gettext_lazy("two wires touch each other (short)"),
    Symptom.LEAK: gettext_lazy("current escapes from the wire into the soil (leak to earth)"),
    Symptom.LOW_VOLTAGE: gettext_lazy("too little voltage reaches the valve (low voltage)"),
    Symptom.COMES_AND_GOES: gettext_lazy("works at times and at times not"),
    Symptom.STAYS_ON: gettext_lazy("the valve does not shut, the water runs on"),
    Symptom.RUNS_WITH: gettext_lazy("waters when another station is called"),
    Symptom.SEVERAL_WEAK: gettext_lazy("several stations run weakly"),
}


def plain_symptom(fault: Fault) -> str:
    """Return the symptom in plain words, and which other station it is about, where known."""
    words = str(_PLAIN_SYMPTOMS.get(fault.symptom) or fault.get_symptom_display())
    return f"{words} ({fault.runs_with})" if fault.runs_with else words


def number_of(one: Break) -> str:
    """Return by which name a break stands in reports."""
    return f"{one.fault}: {one.running_number}"


def place_words(scene: Scene, one: Break) -> str:
    """Say where a break lies, as the fault's page does."""
    if one.leg is None:
        return _("not on a registered leg")
    words = _("leg %(leg)s") % {"leg": one.leg}
    if one.feet_along is None:
        return words
    start = one.from_point or one.leg.from_point
    return f"{words}, {scene.length(one.feet_along)} {_('from')} {start}"


def breaks_table(scene: Scene, breaks: Sequence[Break]) -> Table:
    """Return what was found: place, depth, cause, how it was mended."""
    until = scene.until_on
    rows = [
        [
            figures.text(number_of(one)),
            figures.day(one.found_on, _("not known")),
            figures.text(place_words(scene, one)),
            scene.depth(one.depth_in),
            figures.text(_cause(one)),
            figures.day(one.mended_on if one.mended_on and one.mended_on <= until else None),
            figures.text(one.how_mended if one.mended_on and one.mended_on <= until else ""),
        ]
        for one in breaks
    ]
    headings = [_("Break"), _("Found"), _("Place"), _("Depth"), _("Cause"), _("Mended"),
                _("How mended")]  # fmt: skip
    return Table("breaks", _("Breaks that were found"), headings, rows)


def _cause(one: Break) -> str:
    words = [str(one.get_cause_display())]
    if one.damage:
        words.append(str(one.get_damage_display()))
    return ", ".join(words)


def hours_table(scene: Scene, faults: Sequence[Fault]) -> Table:
    """Return the man-hours of each fault until the end, and money where that is asked for.

    A fault that nobody visited and for which nothing is booked is left out.
    """
    prices = scene.asked.shows_prices
    spent = [(each, spending_of(each, at=scene.end_at, in_money=prices)) for each in faults]
    rows = [
        [
            figures.text(fault),
            _hours(in_hours(each.used_man_min)),
            *([_money(each), figures.text(each.currency)] if prices else []),
        ]
        for fault, each in spent
        if each.used_man_min or each.money.amount or each.money.not_priced
    ]
    headings = [
        _("Fault"),
        _("Man-hours"),
        *([_("Before tax"), _("Currency")] if prices else []),
    ]
    caption = _("Spent until %s") % scene.until_on
    empty = _("No hours and no lines are booked on these faults.")
    return Table("hours", caption, headings, rows, [1, 2] if prices else [1], empty)


def _hours(hours: Decimal) -> Figure:
    return figures.amount(hours, decimals=2)


def _money(spent: Spending) -> Figure:
    figure = figures.amount(spent.money.amount, decimals=2)
    if spent.money.not_priced and not spent.money.amount:
        return Figure(_("not known"))
    return figures.with_words(_("at least %s"), figure) if spent.money.not_priced else figure


def proofs_table(scene: Scene, faults: Sequence[Fault]) -> Table | None:
    """Return what was measured before stations counted as proven; None where nothing was."""
    rows = [
        [
            figures.text(f"{fault}: {row.station}"),
            figures.day(proof.on),
            _read(proof.volts),
            _read(proof.ohms),
            _read(proof.insulation),
            _measured(proof.current_ma),
            figures.text(_minutes(proof)),
        ]
        for fault in faults
        for row in fault.stations.all()
        for proof in row.proofs.all()
        if scene.from_on <= proof.on <= scene.until_on
    ]
    if not rows:
        return None
    headings = [_("Fault and station"), _("On"), _("Volts, coil running"), _("Ohms"),
                _("Megohms"), _("Current, mA"), _("Minutes run")]  # fmt: skip
    return Table("proofs", "", headings, rows, [2, 3, 4, 5])


def _read(reading: Reading | None) -> Figure:
    return _measured(None if reading is None else reading.value)


def _measured(value: float | None) -> Figure:
    return Figure("") if value is None else figures.amount(value, decimals=1)


def _minutes(proof: Proof) -> str:
    if proof.minutes_at_clock:
        return _("%(minutes)s, at the clock") % {"minutes": proof.minutes_at_clock}
    return _("%(minutes)s, from central") % {"minutes": proof.minutes_from_central}


def photo_blocks(scene: Scene, faults: Sequence[Fault], *, most: int = MOST_PHOTOS) -> list[Block]:
    """Return the photos of breaks, before and after the mend side by side."""
    photos = [
        photo
        for fault in faults
        for photo in sorted(fault.photos.all(), key=_in_order)
        if photo.shows and scene.from_on <= _day_of(photo) <= scene.until_on
    ]
    if not photos:
        return []
    return [Photos([_photo(photo) for photo in photos[:most]])]


def _in_order(photo: FaultPhoto) -> tuple[int, int, int]:
    return (photo.of_break_id or 0, _SHOWN_FIRST[photo.shows] if photo.shows else 9, photo.pk)


def _day_of(photo: FaultPhoto) -> date:
    return photo.taken_on or photo.added_at.date()


def _photo(photo: FaultPhoto) -> Photo:
    words = f"{photo.fault}, {photo.get_shows_display()}, {_day_of(photo).isoformat()}"
    return Photo(photo.ref, words, f"{words}. {photo.caption}".strip())
