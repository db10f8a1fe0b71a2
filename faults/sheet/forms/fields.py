"""The forms of a sheet as plain data: the phone draws them, and carries no text of its own.

What a form of the office asks for the same verb is taken from there (`asked`).
"""

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from faults.cases.forms.fields import depth_field, length_field
from sites.kernel.forms.fields import MeasureField
from sites.models import Property, Units

Plain = dict[str, Any]
Choices = Iterable[tuple[object, object]]


def form(kind: str, title: str, button: str, fields: Iterable[Plain], **more: Any) -> Plain:
    """Return a form that makes one thing of a kind.

    Args:
        more: "starts" = stages from which it leads on; "none" = words where no station is there;
            "body" = what goes with it unasked; "note" = a sentence above it.
    """
    return {"kind": kind, "title": title, "button": button, "fields": list(fields), **more}


def field(name: str, ask: str, label: object, **more: Any) -> Plain:
    """Return one question: "text", "number", "choice", "choices", "tick" and so on.

    Args:
        more: "required", unless "instead" is answered; "row" = the stations that it is for; "only"
            = answers of others that it depends on; "undug" = the answer that
            cannot be where ground was opened, and why.
    """
    return {"name": name, "type": ask, "label": str(label), **more}


def choice(name: str, label: object, choices: Choices, **more: Any) -> Plain:
    """Return a question with one answer of a few, each a large button."""
    return field(name, "choice", label, options=options(choices), **more)


def options(pairs: Choices) -> list[list[object]]:
    """Return values and their words."""
    return [[value, str(word)] for value, word in pairs]


def tick(name: str, label: object, **more: Any) -> Plain:
    """Return something to tick."""
    return field(name, "tick", label, **more)


def number(name: str, label: object, **more: Any) -> Plain:
    """Return a question for a number, typed on the number pad."""
    return field(name, "number", label, **more)


def asked(fields: Mapping[str, forms.Field], *names: str, **own: Plain) -> list[Plain]:
    """Return questions that a form of the office asks for the same verb, in the order of names.

    Args:
        fields: those of the form, or of its class where none depends on the fault.
        own: by name, what only the phone says of a question.
    """
    return [{**_as_asked(name, fields[name]), **own.get(name, {})} for name in names]


def _as_asked(name: str, one: forms.Field) -> Plain:
    more: Plain = {"required": True} if one.required else {}
    match one:
        case MeasureField():
            unit = {"unit": one.unit, "factor": one.stored_per_unit}
            return number(name, one.words, **unit, **more)
        case forms.ChoiceField():
            ask = "choices" if isinstance(one, forms.MultipleChoiceField) else "choice"
            # What the office may leave open, a phone leaves untouched.
            offered: Any = one.choices
            more["options"] = [pair for pair in options(offered) if pair[0] != ""]
            return field(name, ask, one.label, **more)
        case forms.BooleanField():
            return tick(name, one.label, **more)
        case forms.TimeField():
            return field(name, "time", one.label, **more)
        case forms.DateField():
            return field(name, "day", one.label, **more)
        case forms.IntegerField():
            return number(name, one.label, **more)
        case forms.CharField():
            return field(name, "text", one.label, most=one.max_length, **more)
    raise TypeError(f"Expected a field that a phone can ask, got {one!r}")


def length(name: str, label: Any, place: Property) -> Plain:
    """Return a question for a length; the phone sends feet whatever the property shows."""
    return _as_asked(name, length_field(place, label))


def length_unit(place: Property) -> Plain:
    """Return in which unit lengths are typed and shown there, and how many feet one has."""
    shown = length_field(place, "")
    return {"unit": shown.unit, "factor": shown.stored_per_unit}


def depth(name: str, label: Any, place: Property, **more: Any) -> Plain:
    """Return a question for a depth; the phone sends inches whatever the property shows."""
    return {**_as_asked(name, depth_field(place, label)), **more}


def ground(place: Property) -> Plain:
    """Return the question how warm the ground is; the phone sends it in the property's units."""
    unit = "°C" if place.units == Units.METRIC else "°F"
    return number("temperature", _("Ground temperature"), unit=unit)


def step(name: str, title: str, **parts: Any) -> Plain:
    """Return one step: "lead", "cautions", "lines", "lists", "forms", "stations" and so on."""
    return {"id": name, "title": title, **{k: v for k, v in parts.items() if v}}


def checklist(name: str, title: str, items: Mapping[str, object]) -> Plain:
    """Return a list to tick off; all its ticks go up as one thing."""
    return {
        "list": name,
        "title": title,
        "ticks": [[key, str(words)] for key, words in items.items()],
        "button": _("Keep this list"),
    }


def photo_form(*, title: str = "", caption: str = "", note: str = "", **more: Any) -> Plain:
    """Return the form of a photo. What lies beside the break gives its scale."""
    shows = field("caption", "text", _("What it shows"), most=200)
    fields = [
        field("picture", "photo", _("Take a photo"), required=True),
        {**shows, "value": caption} if caption else shows,
    ]
    note = note or _("Lay a rule or a valve key beside it, so that the size can be seen.")
    return form("photo", title or _("Photo"), _("Keep this photo"), fields, note=note, **more)


def marks_form() -> Plain:
    """Return the form of a photo of what utilities marked: it shows how the ground was before."""
    note = _("All marks around the hole, before anybody digs, from where the hole will be.")
    return photo_form(title=_("Photo of the marks"), caption=_("Marks of the utilities"), note=note)
