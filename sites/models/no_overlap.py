"""A migration operation: rows of one owner never overlap in days.

PostgreSQL gets an exclusion constraint (with btree_gist); SQLite gets triggers, because
Django's own ExclusionConstraint breaks a SQLite installation. Both raise IntegrityError and
name the rule. SQLite drops triggers when Django rebuilds a table to add or alter a column: a
migration that does so to one of these tables repeats its `NoOverlap` with `again=True` as its
first operation, for the way back, and as its last. A test that tries the overlap after all
migrations fails when it is forgotten.
"""

from typing import Any

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState


class NoOverlap(Operation):
    """Forbid two rows with one `owner` whose half-open days [start, end) share a day.

    Args:
        table: table name. name: of the rule, in words.
        where: SQL condition on a row's own columns, written with `{row}` before each column.
        again: restore the triggers of an existing rule, whichever way the migration runs;
            PostgreSQL never lost its constraint.
    """

    reversible = True
    reduces_to_sql = True

    def __init__(
        self,
        *,
        table: str,
        name: str,
        owner: str,
        start: str,
        end: str,
        where: str = "",
        again: bool = False,
    ) -> None:
        self.table, self.name, self.owner = table, name, owner
        self.start, self.end, self.where, self.again = start, end, where, again

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        """Return how a migration writes this operation."""
        names = ("table", "name", "owner", "start", "end", "where")
        given = {key: getattr(self, key) for key in names}
        return self.__class__.__qualname__, [], given | ({"again": True} if self.again else {})

    def describe(self) -> str:
        """Return one line for `sqlmigrate` and `showmigrations`."""
        return f"Forbid overlapping days{' again' * self.again}: {self.name}"

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
        for statement in self._exclusion() if postgresql else self._triggers():
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
            schema_editor.execute(
                f'ALTER TABLE "{self.table}" DROP CONSTRAINT "{self.name}"', params=None
            )
            return
        self._drop_triggers(schema_editor)

    def _drop_triggers(self, schema_editor: BaseDatabaseSchemaEditor) -> None:
        for verb in ("insert", "update"):
            schema_editor.execute(f'DROP TRIGGER IF EXISTS "{self.name}_{verb}"', params=None)

    def _exclusion(self) -> list[str]:
        where = f"WHERE ({self.where.format(row='')})" if self.where else ""
        # An empty daterange overlaps nothing, so a row of no length is legal, as it should be.
        return [
            "CREATE EXTENSION IF NOT EXISTS btree_gist",
            f'ALTER TABLE "{self.table}" ADD CONSTRAINT "{self.name}" EXCLUDE USING gist '
            f'("{self.owner}" WITH =, daterange("{self.start}", "{self.end}", \'[)\') WITH &&) '
            f"{where}",
        ]

    def _triggers(self) -> list[str]:
        new, old = self._own("NEW."), self._own("old.")
        first, last = "'0001-01-01'", "'9999-12-31'"
        clash = f"""
            SELECT RAISE(ABORT, '{self.name}') WHERE {new} AND EXISTS (
                SELECT 1 FROM "{self.table}" AS old
                WHERE old."{self.owner}" = NEW."{self.owner}" AND old.id <> NEW.id AND {old}
                AND COALESCE(old."{self.start}", {first}) < COALESCE(NEW."{self.end}", {last})
                AND COALESCE(NEW."{self.start}", {first}) < COALESCE(old."{self.end}", {last})
            );"""
        return [
            f'CREATE TRIGGER "{self.name}_{verb}" AFTER {verb.upper()} ON "{self.table}" '
            f"BEGIN {clash} END"
            for verb in ("insert", "update")
        ]

    def _own(self, row: str) -> str:
        """The row is subject to the rule and has a length."""
        long_enough = (
            f'({row}"{self.start}" IS NULL OR {row}"{self.end}" IS NULL '
            f'OR {row}"{self.start}" < {row}"{self.end}")'
        )
        return f"{long_enough} AND ({self.where.format(row=row)})" if self.where else long_enough
