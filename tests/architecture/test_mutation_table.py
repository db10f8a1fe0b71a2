"""Every engine has tests of its own, so that its mutants can be tried by `.ci/long mutation`."""

import tomllib

from tests.mutation.table import CHECKOUT, GUARDS, OWN_TESTS, SAFETY, engine_modules, own_tests

EQUIVALENTS = CHECKOUT / "tests/mutation/equivalents.toml"


def test_every_engine_has_tests_that_are_there() -> None:
    modules = [*engine_modules(), *GUARDS]
    assert len(modules) > 90
    missing = [
        (module, path)
        for module in modules
        for path in own_tests(module)
        if not (CHECKOUT / path).is_file()
    ]
    assert missing == []


def test_the_table_names_only_engines_and_packages_of_engines_that_are_there() -> None:
    modules = set(engine_modules())
    packages = {name.rpartition(".")[0] for name in modules}
    assert set(OWN_TESTS) - modules - packages == set()
    assert set(SAFETY) - modules == set()


def test_an_equivalent_mutant_has_a_reason_and_its_line_is_still_there() -> None:
    for module, changes in tomllib.loads(EQUIVALENTS.read_text()).items():
        source = CHECKOUT.joinpath(*module.split(".")).with_suffix(".py").read_text()
        code = " ".join(line.strip() for line in source.splitlines())
        for change, reason in changes.items():
            assert len(reason.split()) > 3, change
            before = change.partition(": ")[2].partition(" -> ")[0]
            assert before in code, f"{module}: {before}"
