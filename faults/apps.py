"""What broke, the search, the work, and what falls due."""

from django.apps import AppConfig


class FaultsConfig(AppConfig):
    """The middle app: it knows the register below it."""

    name = "faults"
