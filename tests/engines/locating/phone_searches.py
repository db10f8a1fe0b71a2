"""Random searches in the plain form: every joint, reading, symptom, tool and stand.

They are drawn by numpy for the browser and by hypothesis (`Drawn`) in this process. What is rolled
low stands for what is plain and usual, where a case that hypothesis made smaller ends.
"""

from collections.abc import Callable
from typing import Any

import numpy as np
from hypothesis import strategies as st

from faults.locating.engines.assumptions import TESTS, Assumptions
from faults.locating.engines.line import Joint
from faults.locating.engines.options import Tools
from faults.locating.engines.plain import assumed_plain, tools_plain
from faults.locating.engines.plain_words import CheckWord
from faults.locating.engines.seen import Ohms, Wear
from faults.locating.engines.symptoms import Symptom

Plain = dict[str, Any]

# Points and legs have numbers of their own, as in a database.
FIRST_POINT, FIRST_LEG = 700, 40
MOST_READINGS = 7
SIDES_OF_VOLTS = ("controller", "valve", "unloaded")
# Tests that never err: then readings can leave no explanation.
PERFECT = Assumptions(
    **{f"{test}_{rate}": 1.0 for test in TESTS for rate in ("sensitivity", "specificity")},
    box_swapped=0.0,
)


class Drawn:
    """What these searches ask of numpy's generator, drawn by hypothesis."""

    def __init__(self, draw: st.DrawFn) -> None:
        self._draw = draw

    def integers(self, low: int, high: int) -> int:
        return self._draw(st.integers(low, high - 1))

    def random(self, size: int | None = None) -> Any:
        """High first: `_maybe` is then False."""
        if size is not None:
            return np.array([self.random() for _ in range(size)])
        return 1 - (self._draw(st.integers(0, 99)) + 0.5) / 100

    def uniform(self, low: float, high: float) -> float:
        return self._draw(st.floats(low, high))

    def lognormal(self, mean: float, _sigma: float, size: int) -> Any:
        """Whole numbers first, and no more extreme than the callers clip."""
        most = 4 * np.exp(mean)
        feet = st.integers(1, int(most)).map(float) | st.floats(1, most)
        return np.array([self._draw(feet) for _ in range(size)])


Rng = np.random.Generator | Drawn


@st.composite
def searches_and_stands(draw: st.DrawFn, most_boxes: int) -> tuple[Plain, Plain]:
    """Draw a search on a line of at most so many boxes, and a stand on it."""
    boxes = min(draw(st.integers(0, most_boxes)), draw(st.integers(0, most_boxes)))
    search = random_search(Drawn(draw), boxes)
    return search, random_stand(Drawn(draw), search)


def random_search(rng: Rng, boxes: int) -> Plain:
    """Return a search on a line of so many boxes."""
    symptom = _one(rng, [each.value for each in Symptom])
    line = _line(rng, boxes)
    return {
        "symptom": symptom,
        "line": line,
        "neighbours": [_neighbour(rng, boxes + 1) for _ in range(rng.integers(0, 4))],
        "assumed": _said(rng, assumed_plain(_assumed(rng)), assumed_plain(Assumptions())),
        "tools": _said(rng, tools_plain(_tools(rng)), tools_plain(Tools())),
        "soil_is_dry": _maybe(rng, 0.2),
        "readings": [_reading(rng, line) for _ in range(rng.integers(0, MOST_READINGS + 1))],
    }


def random_stand(rng: Rng, search: Plain) -> Plain:
    """Return where the technician stands, often at an open box or beside the transmitter."""
    points = search["line"]["points"]
    at = _one(rng, points)
    is_box = at not in (points[0], points[-1])
    return {
        "at": at,
        "open_box": at if is_box and _maybe(rng, 0.5) else None,
        "tone_from": _one(rng, points) if _maybe(rng, 0.5) else None,
        "tone_on": _one(rng, ["hot", "common"]),
    }


def _said(rng: Rng, plain: Plain, usual: Plain) -> Plain:
    """Leave out what goes without saying, or say all of it."""
    if _maybe(rng, 0.5):
        return plain
    return {name: value for name, value in plain.items() if value != usual[name]}


def _line(rng: Rng, boxes: int) -> Plain:
    joints = [each.value for each in Joint]
    feet = rng.lognormal(np.log(110), 0.7, boxes + 1).clip(1, 420)
    if _maybe(rng, 0.25):
        # Legs alike make ties, which both engines must break alike.
        feet = np.full(boxes + 1, float(rng.integers(20, 200)))
    elif _maybe(rng, 0.4):
        feet[rng.random(boxes + 1) < 0.3] = 0.0
        feet[rng.integers(0, boxes + 1)] = 90.5
    is_plain = not _maybe(rng, 0.7)
    legs = [
        {
            "id": FIRST_LEG + i,
            "name": f"leg {i}",
            "length_ft": float(ft),
            "years": 10.0 if is_plain else float(rng.uniform(0, 25)),
            "faults": 0.0 if is_plain else float(rng.integers(0, 4)),
            "hazard_factor": 1.0 if is_plain else float(rng.uniform(0.2, 3)),
            "tone_factor": 1.0 if is_plain else float(rng.uniform(1, 2.5)),
            "is_guessed": _maybe(rng, 0.2),
        }
        for i, ft in enumerate(feet)
    ]
    return {
        "points": [FIRST_POINT + 3 * i for i in range(boxes + 2)],
        "legs": legs,
        "boxes": [
            {
                "name": f"box {i + 1}",
                "joint": _one(rng, joints),
                "open_min": 11.0 if is_plain else float(rng.uniform(3, 25)),
                "hazard_factor": 1.0 if is_plain else float(rng.uniform(0, 3)),
            }
            for i in range(boxes)
        ],
    }


def _neighbour(rng: Rng, legs: int) -> Plain:
    def some() -> list[int]:
        return [leg for leg in range(legs) if _maybe(rng, 0.5)]

    said = {"works": _maybe(rng, 0.7), "shares": some(), "common": some()}
    strange = {"is_on_ours": _maybe(rng, 0.5), "is_on_master": _maybe(rng, 0.5)}
    return {**said, **strange} if _maybe(rng, 0.3) else said


def _assumed(rng: Rng) -> Assumptions:
    draw = rng.random()
    if draw > 0.6:
        return Assumptions()
    if draw > 0.4:
        return PERFECT

    def rate() -> float:
        return float(rng.uniform(0.7, 0.99))

    return Assumptions(
        box_sensitivity=rate(),
        box_specificity=rate(),
        listen_sensitivity=rate(),
        tone_detects=rate(),
        bundle_share=float(rng.uniform(0, 0.5)),
        common_share=float(rng.uniform(0, 0.5)),
        p_coil=float(rng.uniform(0, 0.3)),
        tone_min_per_100_ft=float(rng.uniform(2, 8)),
        dislike_per_min=float(rng.uniform(0.001, 0.01)),
        settle_outside_min=float(rng.uniform(1, 20)),
    )


def _tools(rng: Rng) -> Tools:
    return Tools(
        tone=_maybe(rng, 0.85),
        distance_at_controller=_maybe(rng, 0.4),
        distance_at_valve=_maybe(rng, 0.3),
        spare_min=float(rng.uniform(20, 120)) if _maybe(rng, 0.3) else None,
        may_cut=_maybe(rng, 0.7),
        clamp=_maybe(rng, 0.5),
        insulation=_maybe(rng, 0.5),
        gradient=_maybe(rng, 0.5),
        jumper=_maybe(rng, 0.5),
        renew=_maybe(rng, 0.4),
        volts=_maybe(rng, 0.5),
        ohms=_maybe(rng, 0.6),
        open_ground=_maybe(rng, 0.5),
    )


def _reading(rng: Rng, line: Plain) -> Plain:
    has_box = len(line["points"]) > 2
    kinds = {**ANYWHERE, **(AT_A_BOX if has_box else {})}
    kind = _one(rng, list(kinds))
    said = kinds[kind](rng, line)
    return {"kind": kind.split(",")[0], "voided": _maybe(rng, 0.1), **said}


def _sides(rng: Rng, line: Plain) -> Plain:
    flags = [[True, False, None][rng.integers(0, 3)] for _ in range(2)]
    runs = [True, False][rng.integers(0, 2)] if _maybe(rng, 0.3) else None
    controller_bad, valve_bad = flags
    return {
        "point": _box(rng, line),
        "controller_bad": controller_bad,
        "valve_bad": valve_bad,
        "runs": runs,
    }


def _way(rng: Rng, line: Plain) -> Plain:
    return {"point": _one(rng, line["points"]), "to_point": _one(rng, line["points"])}


def _distance(rng: Rng, line: Plain) -> Plain:
    feet = float(rng.uniform(-0.1, 1.2)) * sum(leg["length_ft"] for leg in line["legs"])
    own = {"sd_ft": float(rng.uniform(0, 20)), "sd_share": None} if _maybe(rng, 0.3) else {}
    more = {"is_farthest": True} if _maybe(rng, 0.3) else {}
    return {"feet": feet, "from_valve": _maybe(rng, 0.5), **own, **more}


def _marked(rng: Rng, _line: Plain) -> Plain:
    marks = {"at_transmitter": 12.0, "on_sound_wire": float(rng.uniform(40, 99))}
    return {"level": float(rng.uniform(0, 110)), "from_valve": _maybe(rng, 0.5), **marks}


Draw = Callable[[Rng, Plain], Plain]
ANYWHERE: dict[str, Draw] = {
    "tone walked": lambda rng, line: {
        **_way(rng, line),
        "conductor": _one(rng, ["hot", "common"]),
    },
    "tone level": lambda rng, _line: {
        "third": _one(rng, ["low", "middle", "top"]),
        "from_valve": _maybe(rng, 0.5),
    },
    "tone level, marked": _marked,
    "distance": _distance,
    "bypass": lambda rng, line: {
        "leg": _one(rng, line["legs"])["id"],
        "works": _maybe(rng, 0.3),
        "conductor": _one(rng, ["hot", "common"]),
        "stays": _maybe(rng, 0.4),
    },
    "check": lambda rng, _line: {
        "check": _one(rng, [each.value for each in CheckWord]),
        "is_right": _maybe(rng, 0.7),
    },
    # Ohms at the controller of a station with two coils: as with one of them open.
    "check, by ohms": lambda _rng, _line: {"check": "coil", "is_right": False, "by_ohms": True},
    "gradient": lambda rng, line: {"feet": _distance(rng, line)["feet"]},
    "gradient walked": _way,
    "clamp": lambda rng, line: {
        "point": _one(rng, line["points"]),
        "flows": _maybe(rng, 0.5),
    },
    "spare": lambda rng, _line: {"works": _maybe(rng, 0.5)},
    "ohms": lambda rng, _line: {
        "ohms": _one(rng, [each.value for each in Ohms]),
        "joined": _one(rng, [True, False]),
    },
    "mended": lambda rng, line: _mended(rng, line),
}
AT_A_BOX: dict[str, Draw] = {
    "box": _sides,
    "listened": lambda rng, line: {"point": _box(rng, line), "heard": _maybe(rng, 0.5)},
    "insulation": _sides,
    "volts": lambda rng, line: {
        "point": _box(rng, line),
        **{f"{side}_bad": _one(rng, [True, False, None]) for side in SIDES_OF_VOLTS},
    },
    "looked": lambda rng, line: {
        "point": _box(rng, line),
        "joint": _one(rng, [each.value for each in Joint]),
        "wear": _one(rng, [None, *[each.value for each in Wear]]),
    },
}


def _mended(rng: Rng, line: Plain) -> Plain:
    part = _one(rng, [each.value for each in CheckWord])
    places = [{"leg": _one(rng, line["legs"])["id"]}, {"check": part}]
    if len(line["points"]) > 2:
        places.append({"point": _box(rng, line)})
    return dict(_one(rng, places))


def _box(rng: Rng, line: Plain) -> Any:
    return _one(rng, line["points"][1:-1])


def _one(rng: Rng, things: list[Any]) -> Any:
    return things[int(rng.integers(0, len(things)))]


def _maybe(rng: Rng, chance: float) -> bool:
    return bool(rng.random() < chance)
