"""The register: what is in the ground and how each station is controlled."""

from importlib import import_module

from django.apps import AppConfig
from django.urls import register_converter


class SitesConfig(AppConfig):
    """The lowest app. It starts Celery, so that engines import without any framework."""

    name = "sites"
    label = "sites"

    def ready(self) -> None:
        """Load the task queue's wiring, by name so that no layer imports it, and `<ref:...>`.

        Connect the signals that rebuild the ledger of water.
        """
        import_module("sites.project.celery")
        register_converter(import_module("sites.kernel.converters").RefConverter, "ref")
        import_module("sites.water.services.keeping").connect()
        declare = import_module("sites.kernel.services.derived").declare_derived
        declare("spells", import_module("sites.stopgaps.services.spells").rebuild_all_spells)
        declare(
            "water",
            import_module("sites.water.services.ledger").rebuild_all_water,
            after=("spells",),
        )
