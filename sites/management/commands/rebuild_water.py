"""Work out anew what staying off central control has cost."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from sites.services.water.ledger import rebuild_all_water


class Command(BaseCommand):
    """Make the ledger of water anew where it differs. Safe at any time, as often as wanted."""

    help = "Work out anew what each station off central control was given and needed, by month."

    def handle(self, *args: Any, **options: Any) -> None:
        """Rebuild, and say how many rows were wrong."""
        changed = rebuild_all_water(at=timezone.now())
        self.stdout.write(f"{changed} changed")
