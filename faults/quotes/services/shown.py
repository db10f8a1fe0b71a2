"""A quote as it reads: options, lines, totals, cautions. The office and the client see the same."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.models import CHARGE_CHOICES, Quote, QuoteLine, QuoteOption
from faults.prices.engines.pricing import HOUR, LUMP, Charge
from faults.quotes.engines.quoting import OPENS_GROUND, OptionKind, Total
from faults.quotes.services.assumed import words_of
from faults.quotes.services.standing import STANDING_WORDS, Standing, standing_of
from faults.quotes.services.staying import kept_kinds, option_words
from faults.work.engines.safety import EGRESS_FROM_IN, PROTECTION_FROM_IN
from sites.cells.engines.measures import DEPTH, LENGTH
from sites.models import StopgapKind, Units

CHARGE_WORDS = dict(CHARGE_CHOICES)
# What is dug out lies at least so far back: 29 CFR 1926.651(j)(2), from memory.
SPOIL_BACK_IN = 24.0
IN_PER_FT = 12


# What a charge is for, where its own word would mislead: who mends has not dug.
_SAID_ANYWHERE = {
    Charge.TRACING: gettext_lazy("tracing and travel"),
    Charge.MINIMUM: gettext_lazy("up to the minimum of a visit"),
}
_SAID = {
    (OptionKind.WE_DIG, Charge.DIGGING): gettext_lazy("digging, filling and mending by hand"),
    (OptionKind.WE_DIG, Charge.STANDBY): gettext_lazy("standing by"),
    (OptionKind.YOU_DIG, Charge.DIGGING): gettext_lazy("mending and testing"),
    (OptionKind.MACHINE, Charge.DIGGING): gettext_lazy("mending and testing"),
    (OptionKind.OTHER_WIRE, Charge.TRACING): gettext_lazy("tracing, travel and the other wire"),
    (OptionKind.TIMER, Charge.TRACING): gettext_lazy("tracing so far"),
}


@dataclass(frozen=True)
class ShownLine:
    """A line as it reads."""

    what: str
    quantity: str
    price: Decimal
    amount: Decimal


@dataclass(frozen=True)
class ShownOption:
    """An option as it reads."""

    row: QuoteOption
    lines: list[ShownLine]
    total: Total
    month: str

    @property
    def kind(self) -> str:
        """Its name in forms."""
        return str(self.row.kind)

    @property
    def words(self) -> str:
        """Its name for people."""
        return option_words(self.row)


@dataclass(frozen=True)
class Shown:
    """A quote as it reads."""

    options: list[ShownOption]
    assumptions: list[str]
    cautions: list[str]
    standing: Standing

    @property
    def standing_words(self) -> str:
        """How it stands, in words."""
        return str(STANDING_WORDS[self.standing])

    @property
    def is_open(self) -> bool:
        """Whether it can be answered."""
        return self.standing is Standing.OPEN


def shown(quote: Quote, *, today: date) -> Shown:
    """Return a quote as it reads on a day."""
    return Shown(
        shown_options(quote), words_of(quote), cautions_of(quote), standing_of(quote, today=today)
    )


def shown_options(quote: Quote) -> list[ShownOption]:
    """Return the options as they read, in the order in which they stand side by side."""
    return [_option(one, quote) for one in quote.options.all()]


def depth_words(quote: Quote) -> str:
    """Return the depth that was priced, in the property's units, or nothing."""
    return DEPTH.in_words(quote.depth_in, quote.fault.property.units) if quote.depth_in else ""


def cautions_of(quote: Quote) -> list[str]:
    """Return what to beware of, where one of the options opens ground."""
    kinds = {OptionKind(one.kind) for one in quote.options.all()}
    if not kinds & OPENS_GROUND:
        return []
    found = [
        _(
            "Nobody digs before underground utilities are marked: call the one-call centre (in the "
            "US: 811) and keep to local codes. Your own wires and pipes are usually not marked."
        )
    ]
    units = quote.fault.property.units
    if OptionKind.YOU_DIG in kinds:
        found.append(
            _(
                "If you dig: by hand near marked lines and near the irrigation wires, the soil %s "
                "from the edge, nobody alone in the hole, the controller switched off."
            )
            % _in_one_unit(SPOIL_BACK_IN, units)
        )
    depth = quote.depth_in or 0
    if depth >= PROTECTION_FROM_IN:
        found.append(
            _("From %s on the sides must be held or sloped, as a competent person says.")
            % _in_one_unit(PROTECTION_FROM_IN, units)
        )
    elif depth >= EGRESS_FROM_IN:
        found.append(
            _("From %s on the hole needs a ladder or a ramp.") % _in_one_unit(EGRESS_FROM_IN, units)
        )
    return found


def _in_one_unit(depth_in: float, units: str) -> str:
    """Write a limit of the rules, which are in feet, in the units of the rest of the quote."""
    if units == Units.METRIC:
        return DEPTH.in_words(depth_in, units)
    return LENGTH.in_words(depth_in / IN_PER_FT, units)


def _option(one: QuoteOption, quote: Quote) -> ShownOption:
    lines = [_line(line, OptionKind(one.kind)) for line in one.lines.all()]
    return ShownOption(one, lines, one.total, _month(one, quote))


def _line(line: QuoteLine, kind: OptionKind) -> ShownLine:
    charge = Charge(line.charge)
    words = line.name or _SAID.get((kind, charge)) or _SAID_ANYWHERE.get(charge)
    what = str(words or CHARGE_WORDS[line.charge])
    quantity = f"{line.quantity:.2f}".rstrip("0").rstrip(".")
    unit = {HOUR: "h", LUMP: ""}.get(line.unit, line.unit)
    return ShownLine(what, f"{quantity} {unit}".strip(), line.price, line.amount)


def _month(one: QuoteOption, quote: Quote) -> str:
    if one.kind != OptionKind.TIMER:
        return ""
    if kept_kinds(quote) == [StopgapKind.SHUT_OFF.value]:
        return _("Nothing is watered there meanwhile.")
    if one.month_cost is None:
        return _("What a month costs in water is not known.")
    words = {"cost": f"{one.month_cost:,.2f}", "currency": quote.currency}
    if one.month_is_least:
        return _("Costs at least %(cost)s %(currency)s a month in water.") % words
    return _("Costs %(cost)s %(currency)s a month in water.") % words
