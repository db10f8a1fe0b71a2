"""Divide a leg at a newly found point, and make it whole again: the register's part.

The verbs themselves live in `faults.cases.services.splitting`, because breaks move along.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from sites.ground.engines.splits import Mark, Split
from sites.ground.services.keeping import named, take_out
from sites.ground.services.legs import next_running_number
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import UnableToAct
from sites.models import AtPoint, Leg, Point, Renewal, Wire, WireAtPoint, WireLeg

INHERITED = (
    "length_source",
    "depth_in",
    "cover",
    "in_conduit",
    "is_surveyed",
    "notes",
    "observed_from",
)


class UnableToSplitLeg(UnableToAct):
    """The leg is not in the ground, or the point does not lie inside it."""


class UnableToRejoinLeg(UnableToAct):
    """Something happened to the parts, or at the point between them, since the split."""


@dataclass(frozen=True)
class Parts:
    """A split leg's two parts, the point between them, and where that lies."""

    whole: Leg
    first: Leg
    second: Leg

    @property
    def point(self) -> Point:
        """The point at which the leg was split."""
        return self.first.to_point

    @property
    def split(self) -> Split:
        """The two lengths, as the engine takes them."""
        return Split(self.first.length_ft, self.second.length_ft)

    @property
    def both(self) -> tuple[Leg, Leg]:
        """The two parts in order."""
        return self.first, self.second


def parts_of(leg: Leg) -> Parts | None:
    """Return the parts into which a retired leg was split last, or None."""
    if leg.retired_on is None:
        return None
    # A leg that was split, made whole and split again has two generations of parts.
    newest = list(leg.children.select_related("from_point", "to_point").order_by("-pk")[:2])
    newest.sort(key=lambda part: (part.starts_at_ft or 0.0, part.pk))
    return Parts(leg, *newest) if len(newest) == 2 else None


def resolve(leg: Leg, feet: float) -> tuple[Leg, float]:
    """Return the leg that is there now for feet along a leg of old, from its first point."""
    there, mark = resolve_mark(leg, Mark(feet))
    return there, mark.feet


def resolve_mark(leg: Leg, mark: Mark) -> tuple[Leg, Mark]:
    """Return the leg that is there now for a place on a leg of old, and the place on it.

    A split leg leads to its parts, a part of a leg that was made whole again to that leg. A leg
    that is in the ground, or was only retired, is returned as it is.
    """
    if leg.retired_on is None:
        return leg, mark
    if parts := parts_of(leg):
        number, inside = parts.split.part_of(mark)
        return resolve_mark(parts.both[number], inside)
    whole = leg.split_from
    if whole is None or _is_newest_part(leg, whole):
        return leg, mark
    starts = leg.starts_at_ft or 0.0
    before = whole.length_ft - starts - leg.length_ft if mark.from_second else starts
    return resolve_mark(whole, Mark(mark.feet + max(0.0, before), mark.from_second))


def _is_newest_part(leg: Leg, whole: Leg) -> bool:
    parts = parts_of(whole)
    return parts is not None and leg in parts.both


def divide(*, leg: Leg, point: Point, mark: Mark, on: date, today: date) -> Parts:
    """Split a leg in two at a point that was found inside it."""
    refuse_ahead(on, today, field="on")
    _refuse_wrong_point(leg, point)
    split = _split_at(leg, mark)
    wires = list(Wire.objects.filter(lies__leg=leg).order_by("pk"))
    leg.retired_on = on
    save_because(leg, _("split at %s") % point)
    first = _part(leg, leg.from_point, point, split.first_ft, starts_at_ft=0.0, number=1)
    second = _part(leg, point, leg.to_point, split.second_ft, starts_at_ft=split.first_ft, number=2)
    _lay_anew(wires, old=[leg], new=[first, second], why=_("leg %s split") % leg)
    for wire in wires:
        WireAtPoint.objects.get_or_create(
            wire=wire, point=point, defaults={"how": AtPoint.NOT_KNOWN}
        )
    return Parts(leg, first, second)


def refuse_to_rejoin(parts: Parts) -> None:
    """Refuse when the parts differ from the leg they came from, or the point is in use.

    Raises:
        UnableToRejoinLeg: with what happened since.
    """
    for part in parts.both:
        _refuse_changed_part(parts.whole, part)
    _refuse_changed_lengths(parts)
    first, second = (set(part.holds.values_list("wire", flat=True)) for part in parts.both)
    if first != second:
        raise UnableToRejoinLeg(
            _("The two parts no longer hold the same wires, so they are not one leg.")
        )
    _refuse_used_point(parts)


def make_whole(*, parts: Parts, why: str = "") -> Leg:
    """Undo `divide`: retire the parts and bring the leg back, with its wires."""
    refuse_to_rejoin(parts)
    whole, retired_on = parts.whole, parts.whole.retired_on
    wires = list(Wire.objects.filter(lies__leg=parts.first).order_by("pk"))
    words = why or _("made whole again")
    for part in parts.both:
        part.retired_on = retired_on
        save_because(part, words)
    whole.retired_on = None
    save_because(whole, words)
    _lay_anew(wires, old=parts.both, new=[whole], why=_("leg %s made whole again") % whole)
    for at in WireAtPoint.objects.filter(point=parts.point, wire__in=wires):
        take_out(at, words)
    return whole


def _split_at(leg: Leg, mark: Mark) -> Split:
    try:
        return Split.at(mark, length_ft=leg.length_ft)
    except ValueError:
        raise UnableToSplitLeg(
            _("The point must lie inside the leg, between its two ends."), field="feet"
        ) from None


def _part(
    leg: Leg, start: Point, end: Point, length_ft: float, *, starts_at_ft: float, number: int
) -> Leg:
    part = Leg(
        property=leg.property,
        label=_free_label(leg, number),
        from_point=start,
        to_point=end,
        running_number=next_running_number(start, end),
        length_ft=length_ft,
        split_from=leg,
        starts_at_ft=starts_at_ft,
        **{name: getattr(leg, name) for name in INHERITED},
    )
    save_because(part, _("split from %s") % leg)
    for renewal in leg.renewals.order_by("on", "pk"):
        save_because(Renewal(leg=part, on=renewal.on, kind=renewal.kind, notes=renewal.notes))
    return part


def _free_label(leg: Leg, number: int) -> str:
    if not leg.label:
        return ""
    longest = Leg._meta.get_field("label").max_length or 0
    tries = (f"/{number}" if more == 1 else f"/{number}.{more}" for more in range(1, 1000))
    labels = (f"{leg.label[: longest - len(end)]}{end}" for end in tries)
    taken = set(Leg.objects.filter(property=leg.property).values_list("label", flat=True))
    return next(label for label in labels if label not in taken)


def _lay_anew(wires: list[Wire], *, old: Sequence[Leg], new: Sequence[Leg], why: str) -> None:
    WireLeg.objects.filter(leg__in=old).delete()
    WireLeg.objects.bulk_create([WireLeg(wire=wire, leg=leg) for wire in wires for leg in new])
    for wire in wires:
        save_because(wire, why)


def _refuse_wrong_point(leg: Leg, point: Point) -> None:
    if leg.retired_on is not None:
        raise UnableToSplitLeg(_("This leg is retired. Split the leg that is there now."))
    if point.property_id != leg.property_id or point.retired_on is not None:
        raise UnableToSplitLeg(
            _("%s is not a point of this property that is in use. Choose another.") % point,
            field="point",
        )
    if point.pk in (leg.from_point_id, leg.to_point_id):
        raise UnableToSplitLeg(_("This leg ends at %s already.") % point, field="point")
    here = Wire.objects.filter(lies__leg__in=Leg.objects.at(point)).distinct()
    twice = list(here.filter(lies__leg=leg).order_by("name"))
    if twice:
        raise UnableToSplitLeg(
            _("These wires come to %(point)s another way, and would close a ring: %(wires)s.")
            % {"point": point, "wires": named(twice)},
            field="point",
        )


def _refuse_changed_part(whole: Leg, part: Leg) -> None:
    if part.retired_on is not None:
        raise UnableToRejoinLeg(_("Its part %s is retired or split itself.") % part)
    changed = [
        str(getattr(Leg._meta.get_field(name), "verbose_name", name))
        for name in INHERITED
        if getattr(part, name) != getattr(whole, name)
    ]
    if changed:
        raise UnableToRejoinLeg(
            _("Its part %(part)s was changed since (%(names)s). Change that back first.")
            % {"part": part, "names": ", ".join(changed)}
        )
    if part.renewals.count() != whole.renewals.count():
        raise UnableToRejoinLeg(
            _("A renewal was recorded or taken back on its part %s since.") % part
        )


def _refuse_changed_lengths(parts: Parts) -> None:
    together = parts.first.length_ft + parts.second.length_ft
    if abs(together - parts.whole.length_ft) > 1e-6:
        raise UnableToRejoinLeg(
            _("A length of its parts was corrected since: together they are not the leg's.")
        )


def _refuse_used_point(parts: Parts) -> None:
    point = parts.point
    others = list(
        Leg.objects.in_ground()
        .at(point)
        .exclude(pk__in=[part.pk for part in parts.both])
        .select_related("from_point", "to_point")
        .order_by("label", "pk")
    )
    if others:
        raise UnableToRejoinLeg(
            _("Other legs end at %(point)s: %(legs)s.") % {"point": point, "legs": named(others)}
        )
    stations = list(point.stations.select_related("controller"))
    if stations:
        raise UnableToRejoinLeg(
            _("Stations have their valve at %(point)s: %(stations)s.")
            % {"point": point, "stations": named(stations)}
        )
    told = WireAtPoint.objects.filter(point=point).exclude(how=AtPoint.NOT_KNOWN)
    wires = [at.wire for at in told.select_related("wire").order_by("wire__name")]
    if wires:
        raise UnableToRejoinLeg(
            _("Somebody has said what these wires do at %(point)s: %(wires)s.")
            % {"point": point, "wires": named(wires)}
        )
