"""How a stable reference stands in an address."""

from sites.models.base import REF_ALPHABET, REF_LENGTH


class RefConverter:
    """A stable reference, such as k7m2x9q4bd: no other word of an address looks like one."""

    regex = f"[{REF_ALPHABET}]{{{REF_LENGTH}}}"

    def to_python(self, value: str) -> str:
        """Return it as it stands."""
        return value

    def to_url(self, value: str) -> str:
        """Return it as it stands."""
        return value
