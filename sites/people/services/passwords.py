"""Words of the trade and of this house that make a password easy to guess."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from sites.models import User

# Fewer letters and digits than this beside such a word, and it can be guessed.
LEAST_BESIDE = 8
SHORTEST_WORD = 4
# What our users would think of first. Common practice, no source.
OF_THE_TRADE = frozenset(
    {
        "rejoin", "irrigation", "sprinkler", "controller", "station", "stopgap", "decoder",
        "solenoid", "valve", "riego", "water", "wire", "password", "contrasena", "welcome",
        "owner", "dispatcher", "technician", "tracer", "client", "admin", "summer", "winter",
        "spring", "autumn",
    }
)  # fmt: skip


def house_words() -> set[str]:
    """Return those words, and the parts of the addresses under which this house is found."""
    hosts = [part for host in settings.ALLOWED_HOSTS for part in host.casefold().split(".")]
    return {*OF_THE_TRADE, *(part for part in hosts if len(part) >= SHORTEST_WORD)}


class NoHouseWord:
    """Refuses a password that is little more than such words."""

    def validate(self, password: str, user: User | None = None) -> None:
        """Refuse it where too little is left without them.

        Raises:
            ValidationError: in the user's words.
        """
        left = password.casefold()
        words = house_words()
        if not any(word in left for word in words):
            return
        for word in sorted(words, key=len, reverse=True):
            left = left.replace(word, "")
        if sum(letter.isalnum() for letter in left) < LEAST_BESIDE:
            raise ValidationError(
                _(
                    "This is little more than a word that everybody here would try. Take four "
                    "words that have nothing to do with each other."
                ),
                code="house_word",
            )

    def get_help_text(self) -> str:
        """Return what is asked, before anything was typed."""
        return _("Not a word of the trade or the name of this house with a few letters around it.")
