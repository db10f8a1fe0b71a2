"""Whatever is split and joined, breaks stay where they are and the way stays as long as it is."""

from typing import Any

import pytest
from django.db import transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from faults.cases.services.splitting import rejoin_leg, split_leg
from faults.models import Break
from sites.ground.engines.routes import Step, Stretch, route
from sites.models import Wire
from tests import make
from tests.examples import examples
from tests.make import TODAY
from tests.services.yard import Yard

INSIDE = st.floats(min_value=0.5, max_value=99.5)
ANYWHERE = st.floats(min_value=0, max_value=100)
BREAKS = st.lists(st.tuples(ANYWHERE, st.sampled_from(["", "first", "second"])), max_size=4)


def steps_of(yard: Yard, wire: Wire) -> dict[int, Step]:
    """Return the way from the clock to the north valve, by leg."""
    rows = wire.lies.values_list(
        "leg", "leg__from_point", "leg__to_point", "leg__length_ft"
    ).order_by("-pk")
    stretches = [Stretch(*row) for row in rows]
    return {step.leg: step for step in route(stretches, start=yard.start.pk, end=yard.north.pk)}


def places(yard: Yard) -> list[float]:
    """Return the feet along the way of every break, and the way's length last."""
    steps = steps_of(yard, yard.w1)
    found = Break.objects.select_related("leg").order_by("pk")
    return [*(along(one, steps) for one in found), max(step.to_ft for step in steps.values())]


def along(one: Break, steps: dict[int, Step]) -> float:
    """Return the feet along the way of a break, whichever end it was measured from."""
    assert one.leg is not None
    feet = one.feet_along or 0.0
    if one.from_point_id == one.leg.to_point_id:
        feet = one.leg.length_ft - feet
    return steps[one.leg.pk].feet_along_route(feet)


def add_breaks(yard: Yard, found: list[tuple[float, str]]) -> None:
    """Make breaks on leg a, some with the end named that they were measured from."""
    ends: dict[str, Any] = {"": None, "first": yard.a.from_point, "second": yard.a.to_point}
    for feet, end in found:
        make.fault(yard.first).breaks.create(leg=yard.a, feet_along=feet, from_point=ends[end])


def stored() -> list[tuple[object, ...]]:
    """Return where each break is kept."""
    return list(Break.objects.order_by("pk").values_list("leg", "from_point"))


@settings(max_examples=examples(25))
@given(found=BREAKS, feet=INSIDE, from_second=st.booleans(), again=st.floats(0.05, 0.95))
def test_neither_splitting_nor_joining_moves_anything(
    yard: Yard, found: list[tuple[float, str]], feet: float, from_second: bool, again: float
) -> None:
    with transaction.atomic():
        add_breaks(yard, found)
        before, kept = places(yard), stored()
        box, inner = make.point(property=yard.place), make.point(property=yard.place)
        yard.a.refresh_from_db()
        parts = split_leg(
            leg=yard.a, point=box, feet=feet, from_second=from_second, on=TODAY, today=TODAY
        )
        assert places(yard) == pytest.approx(before, abs=1e-6)
        deep = again * parts.second.length_ft
        split_leg(
            leg=parts.second, point=inner, feet=deep, from_second=False, on=TODAY, today=TODAY
        )
        assert places(yard) == pytest.approx(before, abs=1e-6)
        rejoin_leg(leg=parts.second)
        rejoin_leg(leg=yard.a)
        assert places(yard) == pytest.approx(before, abs=1e-6)
        assert stored() == kept
        transaction.set_rollback(True)
    yard.a.refresh_from_db()
