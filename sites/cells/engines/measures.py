"""Units that may stand in a heading or a cell, and the unit in which each is kept."""

import re
from dataclasses import dataclass, field

from sites.cells.engines import units
from sites.cells.engines.numbers import read_number, tidy

Conversion = tuple[float, float]

METRIC = "metric"


def plain_unit(text: str) -> str:
    """Return a unit as the tables below write it: "Sq. Ft" is "sqft", "m²" is "m2"."""
    text = tidy(text).casefold().replace("²", "2").replace("³", "3")
    return re.sub(r"[\s._^\-]+", "", text).strip("()[]")


@dataclass(frozen=True)
class Dimension:
    """One kind of measure: how each unit becomes the stored one (x * factor + shift)."""

    stored: str
    us: str
    metric: str
    known: dict[str, Conversion] = field(default_factory=dict)
    # The most that can be meant, in the stored unit: beyond it a unit or a digit is wrong.
    most: float = 1e9

    def default(self, system: str) -> str:
        """Return the unit that holds where none is written."""
        return self.metric if system == METRIC else self.us

    def knows(self, unit: str) -> bool:
        """Return whether `unit` can be converted."""
        return plain_unit(unit) in self.known

    def to_stored(self, value: float, unit: str) -> float:
        """Convert into the stored unit."""
        factor, shift = self.known[plain_unit(unit)]
        return value if (factor, shift) == (1.0, 0.0) else value * factor + shift

    def from_stored(self, value: float, unit: str) -> float:
        """Convert from the stored unit into `unit`, for showing."""
        factor, shift = self.known[plain_unit(unit)]
        return (value - shift) / factor

    def in_words(self, value: float, system: str) -> str:
        """Write a stored value in the unit of a system, without decimals."""
        unit = self.default(system)
        return f"{self.from_stored(value, unit):,.0f} {unit}"

    @property
    def examples(self) -> str:
        """A few units, for the words of a problem."""
        shown = [name for name in (self.us, self.metric) if name]
        return ", ".join(dict.fromkeys(shown)) or self.stored


def _table(*rows: tuple[str, float]) -> dict[str, Conversion]:
    return {name: (float(factor), 0.0) for names, factor in rows for name in names.split()}


_FEET = "ft feet foot ' ′ lf linft"
_METRES = "m metre metres meter meters mt mts"
_INCHES = 'in inch inches " ″'

LENGTH = Dimension(
    "ft",
    "ft",
    "m",
    _table(
        (_FEET, 1),
        (_METRES, float(units.FT_PER_M)),
        ("yd yard yards", 3),
        (_INCHES, 1 / 12),
        ("cm", float(units.FT_PER_M) / 100),
    ),
    most=100_000.0,
)
DEPTH = Dimension(
    "in",
    "in",
    "cm",
    _table(
        (_INCHES, 1),
        ("cm", float(units.IN_PER_CM)),
        ("mm", float(units.IN_PER_MM)),
        (_METRES, float(units.IN_PER_CM) * 100),
        (_FEET, 12),
    ),
    most=1_200.0,
)
AREA = Dimension(
    "sq ft",
    "sq ft",
    "m2",
    _table(
        ("sqft ft2 sf squarefeet squarefoot sqfeet", 1),
        ("m2 sqm squaremetres squaremeters mts2", float(units.SQFT_PER_M2)),
        ("ac acre acres", 43_560),
        ("ha hectare hectares", float(units.SQFT_PER_M2) * 10_000),
    ),
)
FLOW = Dimension(
    "gpm",
    "gpm",
    "l/min",
    _table(
        ("gpm gal/min galmin gallons/min", 1),
        ("l/min lpm litres/min liters/min lmin", float(units.GPM_PER_LITRE_PER_MIN)),
        ("l/h lph litres/h liters/h", float(units.GPM_PER_LITRE_PER_H)),
        ("gph gal/h", 1 / 60),
        ("m3/h cum/h m3h", float(units.GPM_PER_M3_PER_H)),
    ),
)
RATE = Dimension(
    "in/h",
    "in/h",
    "mm/h",
    _table(("in/h in/hr iph inches/hour inches/h", 1), ("mm/h mm/hr mmh", float(units.IN_PER_MM))),
)
WATER_DEPTH = Dimension(
    "in",
    "in",
    "mm",
    _table((_INCHES, 1), ("mm l/m2", float(units.IN_PER_MM)), ("cm", float(units.IN_PER_CM))),
)
TEMPERATURE = Dimension(
    "°F",
    "°F",
    "°C",
    {
        **dict.fromkeys(("f", "°f", "degf", "fahrenheit"), (1.0, 0.0)),
        **dict.fromkeys(("c", "°c", "degc", "celsius"), (1.8, 32.0)),
    },
)
VOLTS = Dimension("V", "V", "V", _table(("v volt volts vac acv", 1)))
POWER = Dimension("VA", "VA", "VA", _table(("va w watt watts", 1)))
OHMS = Dimension("ohm", "ohm", "ohm", _table(("ohm ohms ω", 1), ("kohm kohms kω", 1000)))
MEGOHMS = Dimension(
    "megohm", "megohm", "megohm", _table(("megohm megohms mohm mω mohms", 1), ("kohm kω", 0.001))
)
MINUTES = Dimension("min", "min", "min", _table(("min mins minute minutes ' ′", 1), ("h hr", 60)))
SHARE = Dimension("", "1", "1", {"1": (1.0, 0.0), "%": (0.01, 0.0), "percent": (0.01, 0.0)})
FACTOR = Dimension("", "1", "1", {"1": (1.0, 0.0), "%": (0.01, 0.0)})
DEGREES = Dimension("°", "°", "°", _table(("° deg degrees", 1)))

_SPLIT = re.compile(r"([+\-−]?[\d.,'’\s]*\d[.,]?)\s*(\D.*)?")


def read_measure(text: str, dimension: Dimension, *, unit: str, mark: str) -> float:
    """Return the measure in the stored unit; a unit in the text wins over `unit`.

    Raises:
        ValueError: no number, or a unit that is not of this kind.
    """
    found = _SPLIT.fullmatch(tidy(text))
    if not found:
        return dimension.to_stored(read_number(text, mark), unit)
    written = (found[2] or "").strip()
    if written and not dimension.knows(written):
        raise ValueError(f"Expected a unit such as {dimension.examples}, got {written!r}")
    return dimension.to_stored(read_number(found[1], mark), written or unit)


def number_part(text: str) -> str:
    """Return the number of a cell without the unit behind it."""
    found = _SPLIT.fullmatch(tidy(text))
    return found[1].strip() if found else text
