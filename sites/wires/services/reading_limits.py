"""The limits by which readings are judged, as the setting READING_LIMITS overrides them."""

from dataclasses import fields

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

from sites.wires.engines.alone import Amperes
from sites.wires.engines.judge import Thresholds


def thresholds() -> Thresholds:
    """Return where one judgement ends and the next begins."""
    return Thresholds(**_given(Thresholds))


def amperes() -> Amperes:
    """Return what a valve is taken to draw, and a controller to give."""
    return Amperes(**_given(Amperes))


def _given(kind: type[Thresholds] | type[Amperes]) -> dict[str, float]:
    """Return what the setting says of these; a name that nothing reads is a slip of the pen."""
    limits: dict[str, float] = settings.READING_LIMITS
    known = {field.name for each in (Thresholds, Amperes) for field in fields(each)}
    if unknown := sorted(set(limits) - known):
        raise ImproperlyConfigured(
            f"READING_LIMITS: expected only {', '.join(sorted(known))}; got {', '.join(unknown)}"
        )
    names = {field.name for field in fields(kind)}
    return {name: value for name, value in limits.items() if name in names}
