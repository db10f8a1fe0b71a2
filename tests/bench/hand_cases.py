"""Made-up faults whose hidden truth is known: the cases that are searched by hand."""

from faults.locating.engines.belief import Conductor, Neighbour, Outside
from faults.models import SearchTool, Symptom
from tests.bench.hand_tester import LEAK, SHORT, WEAK, Case, Hidden
from tests.engines.locating.phone_searches import Plain


def ohms(word: str, *, joined: bool = False) -> Plain:
    """Ohms read at the controller before the search."""
    return {"kind": "ohms", "ohms": word, "joined": joined}


def _runs(*legs: int, works: bool = True) -> Neighbour:
    shared = frozenset(legs)
    return Neighbour(works, shared, shared)


CUT = (SearchTool.DISTANCE,)
_ALL = tuple(SearchTool)

CASES: tuple[Case, ...] = (
    Case("clean cut, every box spliced", [Hidden(640)]),
    Case("clean cut, the wire passes every box uncut", [Hidden(640)], joints="uuuu"),
    Case(
        "clean cut, nobody looked into the boxes; a spare lies there",
        [Hidden(330)],
        joints="nnnn",
        spares=True,
    ),
    Case(
        "clean cut, ohms read open, a distance meter at hand",
        [Hidden(640)],
        known=(ohms("open"),),
        tools=CUT,
    ),
    Case(
        "high resistance in a splice, volts low",
        [Hidden(splice=3, nature=WEAK)],
        symptom=Symptom.LOW_VOLTAGE,
    ),
    Case(
        "short in the ground, ohms read short, clamp at hand",
        [Hidden(470, nature=SHORT)],
        joints="uuuu",
        symptom=Symptom.SHORT,
        known=(ohms("dead short"),),
        tools=(SearchTool.CLAMP,),
    ),
    Case(
        "short in the ground that no tone shows, no tools",
        [Hidden(470, nature=SHORT, shows=False)],
        joints="susu",
        symptom=Symptom.SHORT,
    ),
    Case(
        "common broken on leg 2; two near stations run, three far ones do not",
        [Hidden(500, Conductor.COMMON)],
        joints="suss",
        neighbours=(_runs(0), _runs(0, 1), *[_runs(0, 1, 2, 3, works=False)] * 3),
    ),
    Case(
        "whole bundle cut on leg 1; two stations in it do not run, one at the start runs",
        [Hidden(300, Conductor.BUNDLE)],
        neighbours=(_runs(0), *[_runs(0, 1, 2, works=False)] * 2),
    ),
    Case("coil open, ohms read open", [Hidden(cause=Outside.COIL)], known=(ohms("open"),)),
    Case(
        "coil shorted, ohms read low",
        [Hidden(cause=Outside.COIL, nature=SHORT)],
        symptom=Symptom.NOT_KNOWN,
        known=(ohms("coil low"),),
    ),
    Case(
        "valve does not open, ohms as expected",
        [Hidden(cause=Outside.WATER)],
        symptom=Symptom.NOT_KNOWN,
        known=(ohms("as expected"),),
        neighbours=(_runs(0, 1),) * 2,
    ),
    Case(
        "output of the controller dead, ohms as expected",
        [Hidden(cause=Outside.OUTPUT)],
        known=(ohms("as expected"),),
        neighbours=(_runs(0, 1), _runs(0, 1, 2)),
    ),
    Case(
        "transformer: no other station runs",
        [Hidden(cause=Outside.COMMON_TERMINAL)],
        neighbours=(_runs(0, works=False),) * 5,
    ),
    Case(
        "master valve dead",
        [Hidden(cause=Outside.MASTER)],
        symptom=Symptom.NOT_KNOWN,
        known=(ohms("as expected"),),
        neighbours=(Neighbour(works=False, is_on_ours=False),) * 3,
    ),
    Case("two cuts, on legs 1 and 3", [Hidden(300), Hidden(800)]),
    Case("two: a bad splice and the coil", [Hidden(splice=2), Hidden(cause=Outside.COIL)]),
    Case(
        "the wire's end at the controller",
        [Hidden(cause=Outside.CONTROLLER_SPLICE)],
        joints="nnnn",
        neighbours=(_runs(0, 1),) * 2,
    ),
    Case(
        "another station's wire on the terminal: every test along it is good",
        [Hidden(cause=Outside.WRONG_WIRE)],
        joints="snsn",
        symptom=Symptom.NOT_KNOWN,
        neighbours=(_runs(0, 1),) * 2,
    ),
    Case(
        "another station's wire on the terminal, every box spliced",
        [Hidden(cause=Outside.WRONG_WIRE)],
        neighbours=(_runs(0, 1, 2),) * 3,
    ),
    Case(
        "splice in the valve box, three neighbours run to the end",
        [Hidden(cause=Outside.VALVE_SPLICE)],
        neighbours=(_runs(0, 1, 2, 3, 4),) * 3,
    ),
    Case(
        "nick that leaks, every tool", [Hidden(700, nature=LEAK)], symptom=Symptom.LEAK, tools=_ALL
    ),
    Case("stays on: dirt in the valve", [Hidden(cause=Outside.WATER)], symptom=Symptom.STAYS_ON),
    Case(
        "runs with another: the wires touch on leg 2",
        [Hidden(500, Conductor.BUNDLE, nature=SHORT)],
        symptom=Symptom.RUNS_WITH,
        neighbours=(),
    ),
    Case(
        "several weak: a bad splice of the common at the controller",
        [Hidden(cause=Outside.COMMON_TERMINAL, nature=WEAK)],
        symptom=Symptom.SEVERAL_WEAK,
    ),
    Case("only the length is known", [Hidden(640)], feet=(900.0,), joints=""),
    Case(
        "twelve boxes, half of them uncut",
        [Hidden(1290)],
        feet=(120.0,) * 13,
        joints="susususususu",
    ),
    Case(
        "comes and goes: a splice",
        [Hidden(splice=2, nature=WEAK)],
        symptom=Symptom.COMES_AND_GOES,
        joints="snsu",
    ),
    Case(
        "short on a long leg that no tone shows: the ground is opened",
        [Hidden(900, nature=SHORT, shows=False)],
        feet=(200.0, 900.0, 150.0),
        joints="ss",
        symptom=Symptom.SHORT,
        known=(ohms("dead short"),),
    ),
)
