"""A migration operation: rows of a table are written once, never changed and never deleted.

Held by triggers of the database, so that neither our code nor a hand at its console changes what
was handed out. Both databases raise IntegrityError and name the rule. SQLite drops triggers when
Django rebuilds a table to add or alter a column: a migration that does so repeats the operation
with `again=True` as its last one.
"""

from typing import Any

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState

VERBS = ("update", "delete")


class Unchangeable(Operation):
    """Refuse each UPDATE and DELETE of a row.

    Args:
        table: table name. name: of the rule, in words.
        again: restore the triggers of an existing rule, whichever way the migration runs;
            PostgreSQL never lost them.
    """

    reversible = True
    reduces_to_sql = True

    def __init__(self, *, table: str, name: str, again: bool = False) -> None:
        self.table, self.name, self.again = table, name, again

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        """Return how a migration writes this operation."""
        given = {"table": self.table, "name": self.name}
        return self.__class__.__qualname__, [], given | ({"again": True} if self.again else {})

    def describe(self) -> str:
        """Return one line for `sqlmigrate` and `showmigrations`."""
        return f"Keep rows as they were written{' again' * self.again}: {self.name}"

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        """Django's model state does not know these rules."""

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        """Add the rule in the database's own way."""
        postgresql = schema_editor.connection.vendor == "postgresql"
        if self.again:
            if postgresql:
                return
            self._drop_triggers(schema_editor)
        for statement in self._function() if postgresql else self.triggers():
            schema_editor.execute(statement, params=None)

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        """Take the rule away; a rule that is only repeated stays."""
        if self.again:
            self.database_forwards(app_label, schema_editor, from_state, to_state)
            return
        if schema_editor.connection.vendor == "postgresql":
            schema_editor.execute(f'DROP TRIGGER "{self.name}" ON "{self.table}"', params=None)
            schema_editor.execute(f'DROP FUNCTION "{self.name}"()', params=None)
            return
        self._drop_triggers(schema_editor)

    def _drop_triggers(self, schema_editor: BaseDatabaseSchemaEditor) -> None:
        for verb in VERBS:
            schema_editor.execute(f'DROP TRIGGER IF EXISTS "{self.name}_{verb}"', params=None)

    def _function(self) -> list[str]:
        return [
            f'CREATE FUNCTION "{self.name}"() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN '
            f"RAISE EXCEPTION '{self.name}' USING ERRCODE = 'integrity_constraint_violation'; "
            "END $$",
            f'CREATE TRIGGER "{self.name}" BEFORE UPDATE OR DELETE ON "{self.table}" '
            f'FOR EACH ROW EXECUTE FUNCTION "{self.name}"()',
        ]

    def triggers(self) -> list[str]:
        """Return the statements that make the rule on SQLite."""
        return [
            f'CREATE TRIGGER "{self.name}_{verb}" BEFORE {verb.upper()} ON "{self.table}" '
            f"BEGIN SELECT RAISE(ABORT, '{self.name}'); END"
            for verb in VERBS
        ]
