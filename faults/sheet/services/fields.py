"""The forms of a sheet as plain data: the phone draws them, and carries no text of its own."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.translation import gettext as _

from sites.cells.engines.units import FT_PER_M, IN_PER_CM
from sites.models import Property, Units

Plain = dict[str, Any]
Choices = Iterable[tuple[Any, Any]]


def form(kind: str, title: str, button: str, fields: Iterable[Plain], **more: Any) -> Plain:
    """Return a form that makes one thing of a kind.

    Args:
        more: "starts" = stages from which it leads on; "none" = words where no station is there;
            "body" = what goes with it unasked; "note" = a sentence above it.
    """
    return {"kind": kind, "title": title, "button": button, "fields": list(fields), **more}


def field(name: str, ask: str, label: Any, **more: Any) -> Plain:
    """Return one question: "text", "number", "choice", "choices", "tick" and so on.

    Args:
        more: "required", unless "instead" is answered; "row" = the stations that it is for; "only"
            = answers of others that it depends on; "undug" = the answer that
            cannot be where ground was opened, and why.
    """
    return {"name": name, "type": ask, "label": str(label), **more}


def choice(name: str, label: Any, choices: Choices, **more: Any) -> Plain:
    """Return a question with one answer of a few, each a large button."""
    return field(name, "choice", label, options=options(choices), **more)


def choices(name: str, label: Any, several: Choices, **more: Any) -> Plain:
    """Return a question with several answers."""
    return field(name, "choices", label, options=options(several), **more)


def options(pairs: Choices) -> list[list[Any]]:
    """Return values and their words."""
    return [[value, str(word)] for value, word in pairs]


def tick(name: str, label: Any, **more: Any) -> Plain:
    """Return something to tick."""
    return field(name, "tick", label, **more)


def number(name: str, label: Any, **more: Any) -> Plain:
    """Return a question for a number, typed on the number pad."""
    return field(name, "number", label, **more)


def length(name: str, label: Any, place: Property, **more: Any) -> Plain:
    """Return a question for a length; the phone sends feet whatever the property shows."""
    return number(name, label, **length_unit(place), **more)


def length_unit(place: Property) -> Plain:
    """Return in which unit lengths are typed and shown there, and how many feet one has."""
    is_metric = place.units == Units.METRIC
    return {"unit": "m", "factor": float(FT_PER_M)} if is_metric else {"unit": "ft", "factor": 1}


def depth(name: str, label: Any, place: Property, **more: Any) -> Plain:
    """Return a question for a depth; the phone sends inches whatever the property shows."""
    is_metric = place.units == Units.METRIC
    unit = {"unit": "cm", "factor": float(IN_PER_CM)} if is_metric else {"unit": "in", "factor": 1}
    return number(name, label, **unit, **more)


def ground(place: Property) -> Plain:
    """Return the question how warm the ground is; the phone sends it in the property's units."""
    unit = "°C" if place.units == Units.METRIC else "°F"
    return number("temperature", _("Ground temperature"), unit=unit)


def step(name: str, title: str, **parts: Any) -> Plain:
    """Return one step: "lead", "cautions", "lines", "lists", "forms", "stations" and so on."""
    return {"id": name, "title": title, **{k: v for k, v in parts.items() if v}}


def checklist(name: str, title: str, items: Mapping[str, Any]) -> Plain:
    """Return a list to tick off; all its ticks go up as one thing."""
    return {
        "list": name,
        "title": title,
        "ticks": [[key, str(words)] for key, words in items.items()],
        "button": _("Keep this list"),
    }


def photo_form(**more: Any) -> Plain:
    """Return the form of a photo. What lies beside the break gives its scale."""
    fields = [
        field("picture", "photo", _("Take a photo"), required=True),
        field("caption", "text", _("What it shows"), most=200),
    ]
    note = _("Lay a rule or a valve key beside it, so that the size can be seen.")
    return form("photo", _("Photo"), _("Keep this photo"), fields, note=note, **more)
