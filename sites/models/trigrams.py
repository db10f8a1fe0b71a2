"""A migration operation: parts of words are found fast, also with a letter wrong.

PostgreSQL gets an index over the three-letter pieces of a column, in capitals as Django's
`icontains` asks for them. SQLite gets nothing: at its size, reading all rows is fast enough.
"""

from typing import Any

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState


class TrigramIndex(Operation):
    """Index the three-letter pieces of one text column."""

    reversible = True
    reduces_to_sql = True

    def __init__(self, *, table: str, column: str, name: str) -> None:
        self.table, self.column, self.name = table, column, name

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        """Return how a migration writes this operation."""
        names = ("table", "column", "name")
        return self.__class__.__qualname__, [], {key: getattr(self, key) for key in names}

    def describe(self) -> str:
        """Return one line for `sqlmigrate` and `showmigrations`."""
        return f"Find parts of {self.table}.{self.column} fast"

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        """Django's model state does not know these indexes."""

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        """Add the index where the database has such."""
        if schema_editor.connection.vendor != "postgresql":
            return
        schema_editor.execute("CREATE EXTENSION IF NOT EXISTS pg_trgm", params=None)
        schema_editor.execute(
            f'CREATE INDEX "{self.name}" ON "{self.table}" '
            f'USING gin (UPPER("{self.column}"::text) gin_trgm_ops)',
            params=None,
        )

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        """Take the index away."""
        if schema_editor.connection.vendor == "postgresql":
            schema_editor.execute(f'DROP INDEX IF EXISTS "{self.name}"', params=None)
