"""Rebuild the derived ledger: what staying off central control has cost."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from sites.water.services.ledger import rebuild_all_water


class Command(BaseCommand):
    """Recompute the water ledger and write what differs. Idempotent; safe at any time."""

    help = "Rebuild what each station off central control was given and needed, by month."

    def handle(self, *args: Any, **options: Any) -> None:
        """Rebuild, and say how many rows were wrong."""
        changed = rebuild_all_water(at=timezone.now())
        self.stdout.write(f"{changed} changed")
