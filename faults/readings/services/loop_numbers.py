"""The numbers of a bring-home test in force: the built-in ones, or the company's own."""

from dataclasses import fields

from faults.models import SearchNumber
from faults.readings.engines.loop_numbers import LoopNumbers, UnusableLoopNumbers

OF_LOOPS = tuple(each.name for each in fields(LoopNumbers))


def loop_numbers_now() -> LoopNumbers:
    """Return them. Rows that no longer fit are left out, never a page broken."""
    own = SearchNumber.objects.filter(name__in=OF_LOOPS)
    try:
        return LoopNumbers(**dict(own.values_list("name", "value")))
    except UnusableLoopNumbers:
        return LoopNumbers()
