"""One line of a job's readiness: its subject, its state, and words that say what to do."""

from dataclasses import dataclass
from enum import StrEnum

from django.utils.translation import gettext_lazy


class Subject(StrEnum):
    """What a job can lack."""

    SOIL = "soil"
    BATTERIES = "batteries"
    NOTICE = "notice"
    PRIVATE = "private lines"
    ACCESS = "access"
    CONSENT = "consent"
    PARTS = "parts"
    HOLD = "hold"


class State(StrEnum):
    """How one of them stands."""

    READY = "ready"
    # To be done by us on a day that has not come: no alarm yet.
    PLANNED = "planned"
    NOT_READY = "not ready"
    NOT_NEEDED = "not needed"
    NOT_KNOWN = "not known"


SUBJECT_WORDS = {
    Subject.SOIL: gettext_lazy("Soil"),
    Subject.BATTERIES: gettext_lazy("Batteries"),
    Subject.NOTICE: gettext_lazy("Notice"),
    Subject.PRIVATE: gettext_lazy("Private lines"),
    Subject.ACCESS: gettext_lazy("Access"),
    Subject.CONSENT: gettext_lazy("The client's yes"),
    Subject.PARTS: gettext_lazy("Parts"),
    Subject.HOLD: gettext_lazy("Held"),
}
STATE_WORDS = {
    State.READY: gettext_lazy("ready"),
    State.PLANNED: gettext_lazy("planned"),
    State.NOT_READY: gettext_lazy("to do before"),
    State.NOT_NEEDED: gettext_lazy("not needed"),
    State.NOT_KNOWN: gettext_lazy("not known"),
}
CANNOT_GO = gettext_lazy("cannot go")


@dataclass(frozen=True)
class ReadyLine:
    """One subject: its state, and words that say what to do.

    `is_final` = nothing that we can still do before that day would mend it; `is_on_a_word` = it is
    ready because somebody with the right let it go beyond the limit.
    """

    subject: Subject
    state: State
    words: str = ""
    is_final: bool = False
    is_on_a_word: bool = False

    @property
    def name(self) -> str:
        """The subject in the reader's language."""
        return str(SUBJECT_WORDS[self.subject])

    @property
    def state_word(self) -> str:
        """The state in the reader's language: what keeps a job from going has a mark of its own."""
        return str(CANNOT_GO if self.is_final else STATE_WORDS[self.state])

    @property
    def slug(self) -> str:
        """The state as a style class."""
        return "cannot-go" if self.is_final else self.state.value.replace(" ", "-")


def ready(subject: Subject, words: str) -> ReadyLine:
    """Return that nothing is lacking."""
    return ReadyLine(subject, State.READY, words)


def lacks(subject: Subject, words: str, *, is_final: bool = False) -> ReadyLine:
    """Return what is lacking, in words that say what to do."""
    return ReadyLine(subject, State.NOT_READY, words, is_final)


def planned(subject: Subject, words: str) -> ReadyLine:
    """Return what we still have time to do."""
    return ReadyLine(subject, State.PLANNED, words)


def unknown(subject: Subject, words: str) -> ReadyLine:
    """Return that it is not known, so not ready."""
    return ReadyLine(subject, State.NOT_KNOWN, words)
