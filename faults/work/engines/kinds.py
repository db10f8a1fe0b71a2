"""What each kind of job mostly needs, until the office says otherwise: our choice, no source."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class KindFacts:
    """What a job of one kind starts with.

    Args:
        people: how many it takes.
        gear: what to take along; empty = the common practice in the reader's language.
        opens_ground: whether notices, soil, consent and the dig's gate are asked for.
    """

    minutes: int
    skill: int = 1
    people: int = 1
    gear: str = ""
    opens_ground: bool = False


# By the values of `JobKind`.
USUAL: dict[str, KindFacts] = {
    "locate": KindFacts(105, skill=2),
    "dig and mend": KindFacts(150, opens_ground=True),
    "return to central": KindFacts(45),
    "wire check-up": KindFacts(60, skill=2),
    "battery round": KindFacts(60),
    "station walk": KindFacts(90),
    "bring-home round": KindFacts(120, skill=2),
    "valve repair": KindFacts(60),
    "coil": KindFacts(30),
    "controller repair": KindFacts(60, skill=2),
    "new wire": KindFacts(240, people=2, opens_ground=True),
    "leak": KindFacts(120, opens_ground=True),
    "start-up": KindFacts(120),
    "shut-down": KindFacts(90),
    "two-wire check": KindFacts(90, skill=2),
    "inspection": KindFacts(60),
}
# What mends a fault, by digging or without.
REPAIRS = frozenset(
    {"dig and mend", "valve repair", "coil", "controller repair", "new wire", "leak"}
)
# What goes from station to station without a fault.
WALKS = frozenset({"station walk", "start-up", "shut-down", "inspection"})
# What looks at the wires of a whole controller.
CHECK_UPS = frozenset({"wire check-up", "two-wire check"})
# A dig is one whatever anyone says: its gate is never taken away.
ALWAYS_OPENS_GROUND = frozenset({"dig and mend"})
