"""What "proven" and "returned" ask for and keep. "Mended" is not "proven", nor that "returned"."""

from collections.abc import Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.cases.engines.proof import oddities, oddities_at_decoder
from faults.cases.engines.stages import HowReturned
from faults.cases.services.before_mend import told_as
from faults.cases.services.proof_asks import (
    is_run_at_the_clock,
    is_two_wire,
    lacking,
    run_lacking,
    wanted_of,
)
from faults.cases.services.told import RETURN_LIST, Measured, Proving, Returning, Step, UnableToMove
from faults.models import (
    HOW_RETURNED_CHOICES,
    FaultStation,
    Proof,
    Reading,
    ReadingKind,
)
from sites.kernel.services.verb_days import refuse_ahead
from sites.models import Central, Stopgap, StopgapKind
from sites.register.queries.stations import controller_point, route_wire
from sites.stopgaps.engines.spells import Reason
from sites.stopgaps.services.stopgap_rules import StopgapFacts
from sites.stopgaps.services.stopgaps import end_stopgaps, fit_stopgap
from sites.wires.engines.judge import insulation_at_20_c
from sites.wires.services.reading_limits import thresholds
from sites.wires.services.warmth import warmth_at

KIND_THAT_STAYS = {
    HowReturned.DOUBLED: StopgapKind.DOUBLED,
    HowReturned.SURFACE: StopgapKind.SURFACE_WIRE,
}
# By their names in `Measured`; a decoder's current is no reading of a wire.
KIND_OF = {
    "volts": ReadingKind.VOLTS,
    "ohms": ReadingKind.OHMS,
    "megohms": ReadingKind.INSULATION,
}
HOW_WORDS = dict(HOW_RETURNED_CHOICES)
RETURN_WORDS = {
    "timer_out": gettext_lazy("the battery timer is out, or there was none"),
    "coil_in": gettext_lazy("the 24 VAC solenoid is back in"),
    "splices_sealed": gettext_lazy("the splices are sealed and the boxes are closed"),
    "enabled_in_central": gettext_lazy("the station is enabled again in the central schedule"),
}


def prove(step: Step) -> str:
    """Keep the readings of each station, and that it ran and its valve moved."""
    proving = told_as(step, Proving)
    if not proving.valve_opened_and_shut:
        raise UnableToMove(
            _("Somebody must see the valve open and shut."), field="valve_opened_and_shut"
        )
    for row in step.rows:
        _prove_one(step, row, proving)
    return ""


def _prove_one(step: Step, row: FaultStation, proving: Proving) -> None:
    if (run := run_lacking(row, proving)) is not None:
        raise UnableToMove(run[0], field=run[1])
    measured = proving.readings.get(row.pk, Measured())
    if (lacks := lacking(row, step.fault.symptom, measured)) is not None:
        raise UnableToMove(lacks[0], field=f"{lacks[1]}_{row.pk}")
    odd = _odd(step, row, measured)
    if odd and not step.why:
        raise UnableToMove(
            _(
                "%(station)s: these readings are unusual (%(which)s). Measure again; if they are "
                "right here, say in words why."
            )
            % {"station": row.station, "which": ", ".join(odd)},
            field="why",
        )
    _keep_proof(step, row, measured, proving)


def _odd(step: Step, row: FaultStation, measured: Measured) -> Sequence[str]:
    if is_two_wire(row):
        return oddities_at_decoder(volts=measured.volts, current_ma=measured.current_ma)
    assert measured.volts is not None
    assert measured.ohms is not None
    return oddities(
        volts=measured.volts,
        ohms=measured.ohms,
        megohms=_at_20_c(step, row, measured.megohms),
        limits=thresholds(),
    )


def _at_20_c(step: Step, row: FaultStation, megohms: float | None) -> float | None:
    """Return insulation as every other reading of it is judged."""
    if megohms is None:
        return None
    warmth = warmth_at(row.station.controller.property, step.on)
    return insulation_at_20_c(megohms, warmth.wire_c)


def _keep_proof(step: Step, row: FaultStation, measured: Measured, proving: Proving) -> None:
    """Keep what this wiring is asked for: ohms of a two-wire path would say nothing."""
    asked = {one.name for one in wanted_of(row, step.fault.symptom)}
    kept = {
        kind: _keep_reading(step, row, kind, value)
        for name, kind in KIND_OF.items()
        if name in asked and (value := getattr(measured, name)) is not None
    }
    at_clock = is_run_at_the_clock(row.station.controller)
    Proof.objects.create(
        fault_station=row,
        on=step.on,
        volts=kept.get(ReadingKind.VOLTS),
        ohms=kept.get(ReadingKind.OHMS),
        insulation=kept.get(ReadingKind.INSULATION),
        current_ma=measured.current_ma if "current_ma" in asked else None,
        minutes_from_central=None if at_clock else proving.minutes_from_central,
        minutes_at_clock=proving.minutes_at_clock if at_clock else None,
        proven_by=step.by,
    )


def _keep_reading(step: Step, row: FaultStation, kind: ReadingKind, value: float) -> Reading:
    wire = route_wire(row.station)
    # The decoder hangs at the valve, ohms and volts of a wire are read at its controller.
    at_decoder = is_two_wire(row)
    return Reading.objects.create(
        station=row.station,
        wire=None if at_decoder else wire,
        point=row.station.valve_point if at_decoder else controller_point(row.station, wire),
        kind=kind,
        value=value,
        is_loaded=True if kind is ReadingKind.VOLTS else None,
        taken_on=step.on,
        taken_by=str(step.by)[:60],
        entered_by=step.by,
    )


def return_to_central(step: Step) -> str:
    """Go through the list, end what stood in, and say how each station came back."""
    returning = told_as(step, Returning)
    for item in RETURN_LIST:
        if item not in returning.done:
            raise UnableToMove(_("Not yet: %s?") % RETURN_WORDS[item], field=item)
    stays = KIND_THAT_STAYS.get(returning.how)
    if stays and returning.accepted_by_client_on is None:
        raise UnableToMove(
            _(
                "A surface wire or a doubled station is temporary: it needs the day on which the "
                "client accepted it."
            ),
            field="accepted_by_client_on",
        )
    refuse_ahead(returning.accepted_by_client_on, step.today, field="accepted_by_client_on")
    for row in step.rows:
        _return_one(step, row, returning, stays)
    return ""


def _return_one(
    step: Step, row: FaultStation, returning: Returning, stays: StopgapKind | None
) -> None:
    if row.station.controller.central == Central.LINK_LOST:
        raise UnableToMove(
            _(
                "Controller %s has lost its link, so central cannot run the station. Record the "
                "link first."
            )
            % row.station.controller
        )
    row.how_returned = returning.how.value
    row.accepted_by_client_on = returning.accepted_by_client_on if stays else None
    standing = row.station.stopgaps.open().exclude(kind=stays or "")
    _end(step, list(standing.order_by("pk")), returning.how)
    if stays and not row.station.stopgaps.open().filter(kind=stays).exists():
        _fit(step, row, stays, returning)


def _end(step: Step, standing: list[Stopgap], how: HowReturned) -> None:
    why = _("returned to central: %s") % HOW_WORDS[how.value]
    end_stopgaps(stopgaps=standing, on=step.on, why=why, today=step.today)


def _fit(step: Step, row: FaultStation, kind: StopgapKind, returning: Returning) -> None:
    facts = StopgapFacts(
        kind=kind,
        fitted=(step.on, step.on),
        reason=Reason.WIRE.value,
        accepted_by_client_on=returning.accepted_by_client_on,
    )
    fit_stopgap(stations=[row.station], facts=facts, today=step.today)
