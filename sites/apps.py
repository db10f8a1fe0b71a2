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

        Connect the signals that rebuild spells, then the ledger of water.
        """
        import_module("sites.project.celery")
        register_converter(import_module("sites.kernel.converters").RefConverter, "ref")
        declare = import_module("sites.kernel.services.derived").declare_derived
        spells = import_module("sites.stopgaps.services.keeping_spells")
        spells.connect()
        rebuild_all = import_module("sites.stopgaps.services.spells").rebuild_all_spells
        declare("spells", rebuild_all, kept=spells.spells_kept)
        import_module("sites.people.services.entering").connect()
        water = import_module("sites.water.services.keeping")
        water.connect()
        rebuild_all = import_module("sites.water.services.ledger").rebuild_all_water
        declare("water", rebuild_all, kept=water.water_kept, after=("spells",))
