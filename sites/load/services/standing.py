"""A fingerprint of the register, to detect writes between preview and load."""

from collections.abc import Sequence
from typing import Any

from django.db.models import Count, Max, Model
from simple_history.utils import get_history_manager_for_model

from sites.load.services.history import has_history

Standing = tuple[tuple[int | None, int], ...]


def standing_of(tables: Sequence[type[Model]]) -> Standing:
    """Return a value that changes with every write to these tables.

    Every write of people leaves a history row, whose keys only grow. Link tables without a
    history are counted.
    """
    return tuple(_mark(model) for model in tables)


def _mark(model: type[Model]) -> tuple[int | None, int]:
    if has_history(model):
        history: Any = get_history_manager_for_model(model)
        return history.aggregate(last=Max("history_id"))["last"], 0
    manager: Any = model._default_manager
    found = manager.aggregate(last=Max("pk"), count=Count("pk"))
    return found["last"], found["count"]
