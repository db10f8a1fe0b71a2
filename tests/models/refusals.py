"""Say which named rule of the database refuses a write."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction

OUR_APPS = ("sites", "faults", "reports")


def rules(app_label: str) -> dict[str, models.BaseConstraint]:
    """Return every named constraint of an app's models by its name."""
    return {
        rule.name: rule
        for model in apps.get_app_config(app_label).get_models()
        for rule in model._meta.constraints
    }


def table_of(name: str) -> str:
    """Return the table that a named constraint belongs to."""
    return next(
        model._meta.db_table
        for model in apps.get_models()
        for rule in model._meta.constraints
        if rule.name == name
    )


@contextmanager
def refused_by(name: str) -> Iterator[None]:
    """Expect the database to refuse the block, and by this rule and no other."""
    with pytest.raises(IntegrityError) as refusal, transaction.atomic():
        yield
    message = str(refusal.value)
    assert any(words in message for words in _words(name)), message


def _words(name: str) -> list[str]:
    """SQLite names a broken unique rule by its columns; all else goes by the rule's name."""
    rule: Any = {name: rule for app in OUR_APPS for name, rule in rules(app).items()}.get(name)
    if connection.vendor == "postgresql" or not isinstance(rule, models.UniqueConstraint):
        return [name]
    table = table_of(name)
    columns = ", ".join(f"{table}.{_column(table, field)}" for field in rule.fields)
    return [f"UNIQUE constraint failed: {columns}", f"index '{name}'"]


def _column(table: str, field: str) -> str:
    model = next(model for model in apps.get_models() if model._meta.db_table == table)
    column: str = model._meta.get_field(field).column
    return column


def rules_with_a_test(module: Any) -> set[str]:
    """Return the names of the rules that a module has a test function for."""
    return {name.removeprefix("test_") for name in vars(module) if name.startswith("test_")}
