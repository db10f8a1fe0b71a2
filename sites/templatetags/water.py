"""How water, its cost, and what is missing read on a page."""

from collections.abc import Iterable
from typing import Protocol

from django import template
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from sites.models import Property, Units
from sites.water.engines.constants import M3_PER_GAL
from sites.water.engines.inputs import Lacks, Note
from sites.water.engines.money import to_cents

register = template.Library()

PRICE = "price"
LACK_WORDS = {
    Lacks.SCHEDULE.value: gettext_lazy("when it waters"),
    Lacks.DAYS.value: gettext_lazy("on which days it waters"),
    Lacks.FLOW.value: gettext_lazy("flow"),
    Lacks.AREA.value: gettext_lazy("area"),
    Lacks.PLANT_FACTOR.value: gettext_lazy("plant factor"),
    Lacks.EFFICIENCY.value: gettext_lazy("efficiency"),
    Lacks.CLIMATE.value: gettext_lazy("climate"),
    Lacks.MAIN.value: gettext_lazy("how its master valve or pump opens"),
    PRICE: gettext_lazy("water price"),
}
NOTE_WORDS = {
    Note.DERIVED_FLOW.value: gettext_lazy(
        "The flow was not measured: it follows from precipitation rate and area."
    ),
    Note.ONE_START.value: gettext_lazy(
        "Nobody wrote down how often a day it starts: one start is taken."
    ),
    Note.NO_RAIN.value: gettext_lazy(
        "The climate table has no rain for some months: none is counted, so the excess may be more."
    ),
    Note.MEAN_CLIMATE.value: gettext_lazy(
        "Some months stand on long-term means: real weather differs, so this is an estimate."
    ),
    Note.SEASON.value: gettext_lazy(
        "Out of season nothing runs; what plants needed then counts as shortfall."
    ),
    Note.TWO_SCHEDULES.value: gettext_lazy(
        "On some days two schedules hold at once: both are taken to run. End the older one where "
        "the newer one took its place."
    ),
    Note.TEMPERATURES.value: gettext_lazy(
        "The need of some days is estimated from temperatures alone, without sun, wind and "
        "humidity."
    ),
    Note.PRICE.value: gettext_lazy(
        "The water price has no first day: today's price is taken for past years too."
    ),
}


class Cost(Protocol):
    """What water cost in one currency."""

    @property
    def currency(self) -> str:
        """Its name; "" where no price list says it."""

    @property
    def so_far(self) -> float:
        """Since the stations went off."""

    @property
    def this_month(self) -> float:
        """Within this month."""


def volume_text(gallons: float, place: Property | None) -> str:
    """Write a volume in the property's units; over several properties in gallons."""
    if place and place.units == Units.METRIC:
        return f"{gallons * M3_PER_GAL:,.1f} m³"
    return _("%s gal") % f"{gallons:,.0f}"


@register.simple_tag
def volume(gallons: float | None, place: Property | None = None) -> str:
    """Write a volume, or that it is not known: it is never 0 for want of data."""
    return _("not known") if gallons is None else volume_text(gallons, place)


@register.filter
def cents(amount: float | None, currency: str) -> str:
    """Write money to the cent with its currency, where one is known, or that it is not known."""
    return _("not known") if amount is None else f"{to_cents(amount):,} {currency}".rstrip()


def says_nothing(words: str, is_least: bool) -> bool:
    """Whether a figure is one of at least nothing: that says no more than "not known"."""
    return is_least and not any(each in words for each in "123456789")


@register.filter
def least(words: str, is_least: bool) -> str:
    """Write a figure of which only a part is known: at least so much.

    At least nothing reads that it is not known.
    """
    if says_nothing(words, is_least):
        return _("not known")
    return f"≥\u00a0{words}" if is_least else words


@register.filter
def so_far(costs: Iterable[Cost]) -> str:
    """Write what water cost so far: money of two currencies is never added."""
    return " + ".join(cents(each.so_far, each.currency) for each in costs)


@register.filter
def this_month(costs: Iterable[Cost]) -> str:
    """Write the same of this month."""
    return " + ".join(cents(each.this_month, each.currency) for each in costs)


@register.filter
def lacks_words(lacks: str) -> str:
    """Name what is missing."""
    return ", ".join(str(LACK_WORDS[each]) for each in lacks.split(";") if each in LACK_WORDS)


def note_sentences(notes: set[str], *, sees_prices: bool) -> list[str]:
    """Return what was taken for granted, in sentences; of prices only to who sees them."""
    seen = notes if sees_prices else notes - {Note.PRICE.value}
    return [str(words) for note, words in NOTE_WORDS.items() if note in seen]
