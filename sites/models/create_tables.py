"""A migration operation: all tables of an app at once.

Django renders the models of every app again after each single operation, so an initial
migration costs one rendering for each table, column and constraint: a minute for this register.
Here the state learns of all tables first, and models are rendered once. The operations inside
are Django's own `CreateModel`, so `makemigrations` compares with them as ever. A later migration
that makes several tables uses it too, with their constraints and indexes among the options of
each: what `makemigrations` writes apart costs a rendering each.
"""

from collections.abc import Iterator, Sequence
from typing import Any

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations import CreateModel
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState
from django.db.models import Model


class CreateTables(Operation):
    """Create the tables of several models, which may refer to each other in any order."""

    reversible = True
    serialization_expand_args = ["tables"]

    def __init__(self, tables: Sequence[CreateModel]) -> None:
        self.tables = list(tables)

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        """Return how a migration writes this operation."""
        return self.__class__.__qualname__, [], {"tables": self.tables}

    def describe(self) -> str:
        """Return one line for `migrate` and `showmigrations`."""
        return f"Create {len(self.tables)} tables"

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        """Add all models before any of them is rendered."""
        # Rendered models would be rendered again with each one added; dropped, they are
        # rendered once, when the first table is created.
        state.__dict__.pop("apps", None)
        for table in self.tables:
            table.state_forwards(app_label, state)

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        """Create each table with its indexes and constraints."""
        for model in self._models(app_label, schema_editor, to_state):
            schema_editor.create_model(model)
        # Now instead of at the migration's end: PostgreSQL checks indexes in the order in which
        # they were made, and a unique rule is to be named before the days that overlap with it.
        for statement in schema_editor.deferred_sql:
            schema_editor.execute(statement)
        schema_editor.deferred_sql.clear()

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        """Drop the tables, the last one first."""
        for model in reversed(list(self._models(app_label, schema_editor, from_state))):
            schema_editor.delete_model(model)

    def _models(
        self, app_label: str, schema_editor: BaseDatabaseSchemaEditor, state: ProjectState
    ) -> Iterator[type[Model]]:
        alias = schema_editor.connection.alias
        for table in self.tables:
            model = state.apps.get_model(app_label, table.name)
            if self.allow_migrate_model(alias, model):
                yield model
