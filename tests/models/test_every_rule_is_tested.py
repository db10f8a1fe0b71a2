"""Every named rule of the database has a test of its own that sees it refuse."""

from types import ModuleType

import pytest
from django.apps import apps

from tests.models import (
    test_days_never_overlap,
    test_rules_of_ground_and_wires,
    test_rules_of_people_and_places,
    test_rules_of_stations_and_stopgaps,
)
from tests.models.billing import test_rules_of_billing
from tests.models.cases import test_rules_of_faults
from tests.models.decisions import test_rules_of_decisions
from tests.models.due import test_rules_of_due
from tests.models.goals import test_rules_of_goals
from tests.models.hooks import test_rules_of_hooks
from tests.models.issued import test_rules_of_reports
from tests.models.locating import test_rules_of_searches
from tests.models.notices import test_rules_of_notices
from tests.models.prices import test_rules_of_prices
from tests.models.promises import test_rules_of_promises
from tests.models.quotes import test_rules_of_quotes
from tests.models.reconcile import test_rules_of_reconcile
from tests.models.refusals import OUR_APPS, rules, rules_with_a_test
from tests.models.rounds import test_rules_of_rounds
from tests.models.sheet import test_rules_of_sheets
from tests.models.water import test_rules_of_water
from tests.models.work import test_rules_of_jobs

OF_SITES = (
    test_rules_of_people_and_places,
    test_rules_of_reconcile,
    test_rules_of_stations_and_stopgaps,
    test_rules_of_ground_and_wires,
    test_rules_of_notices,
    test_rules_of_water,
)
OF_FAULTS = (
    test_rules_of_billing,
    test_rules_of_faults,
    test_rules_of_due,
    test_rules_of_jobs,
    test_rules_of_rounds,
    test_rules_of_notices,
    test_rules_of_prices,
    test_rules_of_promises,
    test_rules_of_quotes,
    test_rules_of_searches,
    test_rules_of_sheets,
    test_rules_of_sheets,
)
OF_REPORTS = (
    test_rules_of_people_and_places,
    test_rules_of_decisions,
    test_rules_of_goals,
    test_rules_of_hooks,
    test_rules_of_reports,
)


@pytest.mark.parametrize(
    ("app_label", "modules"), [("sites", OF_SITES), ("faults", OF_FAULTS), ("reports", OF_REPORTS)]
)
def test_each_constraint_of_the_app_has_one(
    app_label: str, modules: tuple[ModuleType, ...]
) -> None:
    tested = set().union(*(rules_with_a_test(module) for module in modules))
    assert set(rules(app_label)) - tested == set()


def test_each_rule_that_a_migration_adds_for_days_has_one() -> None:
    from django.db.migrations.loader import MigrationLoader

    from sites.models.no_overlap import NoOverlap

    loader = MigrationLoader(None)
    added = {
        operation.name
        for (app_label, _), migration in loader.disk_migrations.items()
        if app_label in OUR_APPS
        for operation in migration.operations
        if isinstance(operation, NoOverlap)
    }
    assert added == set(test_days_never_overlap.RULES)


def test_rule_names_are_words_and_used_once() -> None:
    names = [
        rule.name
        for label in OUR_APPS
        for model in apps.get_app_config(label).get_models()
        for rule in model._meta.constraints
    ]
    assert len(names) == len(set(names))
    assert [name for name in names if name.count("_") < 2] == []
