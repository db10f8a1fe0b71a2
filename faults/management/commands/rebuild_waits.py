"""Rebuild the derived waits: what each station off central control waits on."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from faults.waits.services.waits import rebuild_all_waits


class Command(BaseCommand):
    """Recompute all waits and write those that differ. Idempotent; safe at any time."""

    help = "Rebuild what each station off central control waits on, and whose move it is."

    def handle(self, *args: Any, **options: Any) -> None:
        """Rebuild, and say how many were wrong."""
        changed = rebuild_all_waits(at=timezone.now())
        self.stdout.write(f"{changed} changed")
