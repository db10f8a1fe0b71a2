"""Which tests are an engine's own: only these decide whether a mutant of it is found.

They stand in the room of the engine, or in the room that is named before a stroke. A package
that is not named itself has the tests of the longest name that it begins with.
`tests/architecture/test_mutation_table.py` holds that no engine is left out.
"""

from tests.architecture.source import CHECKOUT, engine_files

_LAWS = ("laws", "model", "readings", "cases")
_PLAN = ("plan", "more_actions")
_WATER = ("months", "months_edges", "identities", "rain_and_units")

# Fast files first: the first test that fails ends the run.
OWN_TESTS: dict[str, tuple[str, ...]] = {
    "faults.cases.engines.working": ("working",),
    "faults.work.engines.arriving": ("arriving",),
    "faults.work.engines.clashes": ("clashes", "arriving"),
    "faults.cases.engines.consent": ("standing_edges", "standing_by_our_mends"),
    "faults.readings.engines.bring_home": ("bring_home",),
    "faults.readings.engines.loop_beliefs": ("bring_home",),
    "faults.readings.engines.loop_numbers": ("bring_home",),
    "faults.readings.engines.walking": ("walking",),
    "faults.readings.engines.control_chart": ("control_chart",),
    "faults.readings.engines.depth": ("depth", "measuring_edges"),
    "faults.notices.engines.dig_gate": ("dig_gate_edges", "dig_gate"),
    "faults.work.engines.digging": ("digging",),
    "faults.readings.engines.distance": ("measuring_edges", "distance", "distance_scale"),
    "faults.readings.engines.distance_loops": ("distance_ends", "distance_scale", "distance"),
    "faults.readings.engines.placing": (
        "distance_ends",
        "distance_scale",
        "distance",
        "wires/copper",
    ),
    "faults.work.engines.heat": ("heat",),
    "faults.promises.engines": ("promising",),
    "faults.rounds.engines": ("turns",),
    "faults.locating.engines": ("bands", "plain", *_LAWS, *_PLAN),
    "faults.locating.engines.bands": ("bands",),
    "faults.locating.engines.cases": ("cases",),
    "faults.locating.engines.distance_error": ("off_the_wire",),
    "faults.locating.engines.minutes": ("minutes",),
    "faults.locating.engines.off_the_wire": ("off_the_wire",),
    "faults.locating.engines.pairs": ("calibration", "cases"),
    "faults.locating.engines.learning": ("learning",),
    "faults.locating.engines.learning_counts": ("learning",),
    "faults.locating.engines.learning_evidence": ("learning",),
    "faults.locating.engines.learning_pairs": ("learning",),
    "faults.locating.engines.plain": ("plain",),
    "faults.locating.engines.plain_search": ("plain",),
    "faults.locating.engines.plain_values": ("plain",),
    "faults.locating.engines.plain_words": ("plain",),
    "faults.locating.engines.simulation": ("calibration", "simulation"),
    "faults.locating.engines.summary": ("bands", "model", "calibration"),
    "faults.locating.engines.tension": ("cases",),
    "faults.locating.engines.effects": ("effects",),
    "faults.notices.engines.marks": ("marks",),
    "faults.billing.engines.earning": ("earning",),
    "faults.cases.engines.labour": ("labour",),
    "faults.cases.engines.naming": ("naming",),
    "faults.cases.engines.opened": ("opened_ground",),
    "faults.cases.engines.proof": ("standing_edges", "standing_by_our_mends"),
    "faults.notices.engines.regions": ("regions",),
    "faults.prices.engines": ("pricing",),
    "faults.quotes.engines": ("quoting",),
    "faults.rota.engines": (
        "reasons",
        "instance",
        "properties",
        "published",
        "orders",
        "overtime",
    ),
    "faults.rota.engines.instance": ("instance",),
    "faults.rota.engines.keeping": ("keeping",),
    "faults.rota.engines.orders": ("orders",),
    "faults.rota.engines.reasons": ("reasons", "orders"),
    "faults.rota.engines.weighing": ("weighing",),
    "faults.work.engines.kinds": ("kinds",),
    "faults.work.engines.safety": ("safety",),
    "faults.work.engines.soak": ("soak",),
    "faults.cases.engines.stages": ("stages", "stage_walk"),
    "faults.work.engines.travel": ("travel", "clashes"),
    "faults.work.engines.visits": ("waits/visits_edges", "waits/waits_edges", "waits/waits"),
    "faults.waits.engines.waits": ("waits_edges", "waits"),
    "faults.cases.engines.warranty": ("standing_edges", "standing_by_our_mends"),
    "faults.notices.engines.workdays": ("workdays_edges", "workdays", "dig_gate_edges", "dig_gate"),
    "reports.search.engines.asked": ("asked",),
    "reports.search.engines.menu": ("menu",),
    "reports.hotspots.engines.causes": ("causes_shares",),
    "reports.hotspots.engines.evidence": ("evidence",),
    "reports.hotspots.engines.hotspot_simulation": ("simulation",),
    "reports.hotspots.engines.hotspots": ("hotspots", "streets"),
    "reports.hotspots.engines.past": ("past",),
    "reports.hotspots.engines.prior": ("prior", "hotspots"),
    "reports.hotspots.engines.rates": ("rates", "streets"),
    "reports.hotspots.engines.recurrence": ("recurrence",),
    "reports.hotspots.engines.scan": ("scan",),
    "reports.hotspots.engines.spreading": ("hotspots", "streets"),
    "reports.hotspots.engines.trend": ("trend", "recurrence"),
    "reports.hotspots.engines.paying": ("worth", "decisions/renewing"),
    "reports.hotspots.engines.wholes": ("hotspots",),
    "reports.hotspots.engines.worth": ("worth",),
    "reports.decisions.engines.best_set": ("best_set",),
    "reports.decisions.engines.renewing": ("renewing",),
    "reports.hooks.engines.reaching": ("reaching",),
    "reports.hooks.engines.retrying": ("retrying",),
    "reports.hooks.engines.signing": ("signing",),
    "reports.issued.engines.changes": ("changes",),
    "reports.issued.engines.periods": ("periods",),
    "sites.documents.engines.document": ("document",),
    "sites.documents.engines.figures": ("figures",),
    "reports.lasting.engines.lasting": ("lasting",),
    "reports.ahead.engines.forecast": ("forecast",),
    "reports.ahead.engines.past": ("forecast",),
    "reports.ahead.engines.queue": ("queue",),
    "reports.ahead.engines.scoring": ("scoring",),
    "reports.returning.engines.choosing": ("choosing",),
    "reports.returning.engines.effort": ("effort",),
    "reports.returning.engines.room": ("room",),
    "sites.register.engines.open_hours": ("open_hours",),
    "sites.backups.engines.archive": ("archive",),
    "sites.backups.engines.keeping": ("keeping",),
    "sites.backups.engines.sealed": ("sealed",),
    "sites.backups.engines.space": ("space",),
    "sites.cells.engines": ("texts",),
    "sites.cells.engines.days": ("typed_days",),
    "sites.cells.engines.measures": ("typed_numbers", "every_unit"),
    "sites.cells.engines.numbers": ("typed_numbers",),
    "sites.cells.engines.possible_days": ("possible_days",),
    "sites.stopgaps.engines.battery_life": ("battery_life",),
    "sites.stopgaps.engines.reasons": ("reasons",),
    "sites.kernel.engines.roles": ("roles", "cases/stages"),
    "sites.ground.engines.circles": ("circles",),
    "sites.ground.engines.fixing": ("fixing",),
    "sites.ground.engines.routes": ("routes",),
    "sites.stopgaps.engines.spells": (
        "spells_edges",
        "spells",
        *(f"water/{each}" for each in _WATER),
    ),
    "sites.ground.engines.splits": ("splits",),
    "sites.cells.engines.units": ("units",),
    "sites.water.engines": _WATER,
    "sites.water.engines.money": ("money",),
    "sites.water.engines.reference_et": ("reference_et",),
    "sites.wires.engines.alone": ("alone",),
    "sites.wires.engines.copper": ("readings/measuring_edges", "copper"),
    "sites.wires.engines.judge": ("judge",),
    "sites.wires.engines.sizes": ("sizes_as_written", "copper"),
    "sites.wires.engines.warmth": ("warmth",),
}

# The modules whose every mutant is tried. A guard in `services` needs a database.
SAFETY = (
    "faults.notices.engines.dig_gate",
    "faults.waits.engines.waits",
    "faults.cases.engines.stages",
    "faults.notices.engines.workdays",
    "faults.cases.engines.consent",
    "faults.work.engines.visits",
)
GUARDS = {
    "faults.work.services.gates": ("work/test_consent_edges", "work/test_make_a_visit"),
    "faults.work.services.ready_facts": ("work/test_consent_edges", "work/test_readiness"),
}
# Runs in a process of its own, where a mutant of this one is not seen: `.ci/long fuzz` tries it.
IN_A_CHILD = "sites.load.engines.files"

# Tests in those files that ask Django, which is not there while engines are tried.
NEEDS_DJANGO = (
    "hotspots/test_simulation.py::test_the_command_prints_a_line_for_each_world",
    "locating/test_simulation.py::test_the_command_prints_each_way_as_json",
    "cells/test_units.py::test_each_price_unit_that_a_tariff_offers_has_a_factor",
)


def engine_modules() -> list[str]:
    """Return every engine that holds code, by name."""
    named = [path.relative_to(CHECKOUT).with_suffix("") for path in engine_files()]
    modules = [".".join(each.parts) for each in named if each.name != "__init__"]
    return sorted(each for each in modules if not each.startswith(IN_A_CHILD))


def own_tests(module: str) -> tuple[str, ...]:
    """Return the paths of a module's own tests.

    Raises:
        KeyError: the table has none.
    """
    if module in GUARDS:
        return tuple(f"tests/services/{name}.py" for name in GUARDS[module])
    name = module
    while name and name not in OWN_TESTS:
        name = name.rpartition(".")[0]
    room = module.split(".")[1]
    names = [each if "/" in each else f"{room}/{each}" for each in OWN_TESTS[name]]
    return tuple(f"tests/engines/{each.replace('/', '/test_')}.py" for each in names)
