"""Properties by the words of their code and name."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from reports.search.engines.asked import close_tokens, tokens
from sites.kernel.access import properties_for
from sites.models import Property, User

# All of them fit in memory many times over; beyond, a user is no single contractor.
MOST_PLACES = 20_000


@dataclass(frozen=True, slots=True)
class Place:
    """A property as people name it."""

    pk: int
    ref: str
    code: str
    name: str
    client: str


class Places:
    """The properties in care that a user may see."""

    def __init__(self, user: User) -> None:
        rows = properties_for(user).in_care().order_by("code", "pk")
        fields = ("pk", "ref", "code", "name", "client__name")
        self.all = [Place(*row) for row in rows.values_list(*fields)[:MOST_PLACES]]
        self._tokens = {each.pk: tokens(f"{each.code} {each.name}") for each in self.all}
        self._known = {token for each in self._tokens.values() for token in each}

    def keep(self, only: Property) -> None:
        """Leave out all but this one."""
        self.all = [each for each in self.all if each.pk == only.pk]

    def named(self, words: Sequence[str]) -> list[Place]:
        """Return the properties that every word names, those begun with the first word first."""
        wanted = [self._meant(token) for token in tokens(" ".join(words))]
        if not wanted:
            return []
        found = [
            each
            for each in self.all
            if all(not meant.isdisjoint(self._tokens[each.pk]) for meant in wanted)
        ]
        return sorted(found, key=lambda each: (not _begins(each, words), each.code))

    def leading(self, words: Sequence[str]) -> tuple[list[Place], tuple[str, ...]]:
        """Return the properties that the longest run of first words names, and the other words."""
        for count in range(len(words) - 1, 0, -1):
            if found := self.named(words[:count]):
                return found, tuple(words[count:])
        return [], tuple(words)

    def _meant(self, token: str) -> set[str]:
        return close_tokens(token, self._known)


def _begins(place: Place, words: Sequence[str]) -> bool:
    return place.code.casefold().startswith(words[0])


def keys(places: Iterable[Place]) -> list[int]:
    """Return the primary keys."""
    return [each.pk for each in places]
