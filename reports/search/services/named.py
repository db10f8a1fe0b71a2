"""Things by their names, as typed or nearly so."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from django.db import connection, transaction
from django.db.models import BooleanField, F, Func, Q, QuerySet, Value
from django.db.models.functions import Upper

from reports.search.engines.asked import LONG_WORD, close_tokens, tokens

# More than anyone reads; the best of them are shown.
LOOKED_AT = 200
# Where the database has no index for near words, so many names are compared.
COMPARED = 20_000
NEARNESS = "0.35"
COLOURS = frozenset(
    [
        *("red", "black", "blue", "white", "yellow", "orange", "green", "brown", "purple"),
        *("violet", "grey", "gray", "pink", "tan", "stripe", "striped", "with", "and"),
        *("rojo", "negro", "azul", "blanco", "amarillo", "naranja", "verde", "marron", "gris"),
    ]
)


@dataclass(frozen=True)
class Kind:
    """What is found: its rows, the columns that name it, and the path to its property."""

    name: str
    rows: QuerySet[Any]
    columns: tuple[str, ...]
    to_property: str
    shown: tuple[str, ...]
    # Columns that may hold a whole name of one or two letters; in longer texts such a word is
    # everywhere.
    short: tuple[str, ...] = ()
    # Columns whose words everybody knows: a mistyped one is corrected before it is looked up.
    of_known_words: tuple[str, ...] = ()
    # The column that its page's address takes.
    ref: str = "ref"

    def at(self, places: Sequence[int]) -> QuerySet[Any]:
        """Return its rows on these properties."""
        return self.rows.filter(**{f"{self.to_property}__in": places})


Row = dict[str, Any]


def found(kind: Kind, rows: QuerySet[Any], words: Sequence[str]) -> list[Row]:
    """Return rows in whose names every word occurs as typed."""
    condition = _occur(kind, words)
    return _read(kind, rows.filter(condition)[:LOOKED_AT]) if condition else []


def nearly(kind: Kind, rows: QuerySet[Any], words: Sequence[str]) -> list[Row]:
    """Return rows in whose names every word occurs with at most a letter or two wrong."""
    if not any(len(word) >= LONG_WORD for word in words):
        return []
    if connection.vendor == "postgresql":
        if put_right := _of_known_words(kind, rows, words):
            return put_right
        rows = rows.filter(_near(kind, " ".join(words)))[:LOOKED_AT]
    candidates = _read(kind, rows[:COMPARED])
    named = [(row, tokens(_text(kind, row))) for row in candidates]
    known = {token for _row, each in named for token in each}
    wanted = [close_tokens(token, known) for token in tokens(" ".join(words))]
    return [
        row for row, each in named if wanted and all(not meant.isdisjoint(each) for meant in wanted)
    ]


@contextmanager
def near_words() -> Iterator[None]:
    """Set the similarity threshold of the database: words that share a third of their trigrams."""
    if connection.vendor != "postgresql":
        yield
        return
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT set_config('pg_trgm.word_similarity_threshold', %s, true)", [NEARNESS]
            )
        yield


def _read(kind: Kind, rows: QuerySet[Any]) -> list[Row]:
    return list(rows.values(kind.ref, *kind.columns, *kind.shown))


def _occur(kind: Kind, words: Sequence[str]) -> Q:
    """Short words have no pieces to look up: alone they must be the whole name."""
    condition = Q()
    if not any(len(word) >= LONG_WORD for word in words):
        for column in kind.short:
            condition |= Q(**{f"{column}__iexact": " ".join(words)})
        return condition
    for word in words:
        somewhere = Q()
        for column in kind.columns:
            somewhere |= Q(**{f"{column}__icontains": word})
        condition &= somewhere
    return condition


def _of_known_words(kind: Kind, rows: QuerySet[Any], words: Sequence[str]) -> list[Row]:
    """Few words stand in so many rows that the database's own nearness would read them all."""
    meant = [close_tokens(word, COLOURS) for word in words]
    if not kind.of_known_words or not all(meant):
        return []
    return found(kind, rows, [min(each) for each in meant])


def _text(kind: Kind, row: Row) -> str:
    return " ".join(str(row[column]) for column in kind.columns)


class _Near(Func):
    """The words are near to a part of the column, by an operator that the index answers."""

    template = "(%(expressions)s)"
    arg_joiner = " <%% "
    output_field = BooleanField()


def _near(kind: Kind, words: str) -> Q:
    condition = Q()
    for column in set(kind.columns) - set(kind.of_known_words):
        condition |= Q(_Near(Upper(Value(words)), Upper(F(column))))
    return condition
