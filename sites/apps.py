"""The register: what is in the ground and how each station is controlled."""

from importlib import import_module

from django.apps import AppConfig


class SitesConfig(AppConfig):
    """The lowest app. It starts Celery, so that engines import without any framework."""

    name = "sites"
    label = "sites"

    def ready(self) -> None:
        """Load the task queue's wiring, reached by name so that no layer imports it."""
        import_module("sites.project.celery")
