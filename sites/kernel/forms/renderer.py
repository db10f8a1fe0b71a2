"""Fields of forms as HTML: the plain ones are written here, the rest by Django's templates.

Django renders a template for each option of a select and two for each input, which was most of
what a page with a form cost: a list of time zones has 600 options.
"""

from collections.abc import Callable, Mapping
from typing import Any

from django.forms.renderers import DjangoTemplates
from django.utils.formats import localize
from django.utils.html import conditional_escape
from django.utils.safestring import SafeData, mark_safe

_FOLDER = "django/forms/widgets"
_OPTION = f"{_FOLDER}/select_option.html"
Widget = Mapping[str, Any]


def _text(value: Any) -> str:
    return conditional_escape(value if isinstance(value, str) else localize(value))


def _value(value: Any) -> str:
    return conditional_escape(value if isinstance(value, SafeData) else str(value))


def _attributes(attrs: Mapping[str, Any]) -> str:
    """Return attributes with a space before each; True stands alone, False is left out."""
    given = [(_text(name), value) for name, value in attrs.items() if value is not False]
    return "".join(f" {n}" if value is True else f' {n}="{_value(value)}"' for n, value in given)


def _input(widget: Widget) -> str:
    value = "" if widget["value"] is None else f' value="{_value(widget["value"])}"'
    names = f'type="{_text(widget["type"])}" name="{_text(widget["name"])}"'
    return f"<input {names}{value}{_attributes(widget['attrs'])}>"


def _textarea(widget: Widget) -> str:
    value = _text(widget["value"]) if widget["value"] else ""
    names = f'name="{_text(widget["name"])}"{_attributes(widget["attrs"])}'
    return f"<textarea {names}>\n{value}</textarea>"


def _select(widget: Widget) -> str | None:
    """Return the select; None where an option has a template of its own."""
    groups = widget["optgroups"]
    if any(each["template_name"] != _OPTION for _name, options, _at in groups for each in options):
        return None
    inside = "".join(_group(name, options) for name, options, _at in groups)
    return f'<select name="{_text(widget["name"])}"{_attributes(widget["attrs"])}>{inside}</select>'


def _group(name: Any, options: list[Widget]) -> str:
    # A list of all properties has thousands of options, and hardly one of them has an attribute.
    inside = "\n".join(
        f'<option value="{_value(each["value"])}"'
        f"{_attributes(each['attrs']) if each['attrs'] else ''}>"
        f"{_text(each['label'])}</option>"
        for each in options
    )
    return f'\n<optgroup label="{_text(name)}">\n{inside}</optgroup>' if name else f"\n{inside}"


def _buttons(widget: Widget) -> str | None:
    """Return radio buttons or boxes to tick; None where an option has a template of its own."""
    groups = widget["optgroups"]
    if any(
        each["template_name"] not in _BUTTONS for _n, options, _at in groups for each in options
    ):
        return None
    given = {name: widget["attrs"].get(name) or False for name in ("id", "class")}
    inside = "".join(_button_group(name, options) for name, options, _at in groups)
    return f"<div{_attributes(given)}>{inside}</div>"


def _button_group(name: Any, options: list[Widget]) -> str:
    inside = "".join(f"<div>\n{_button(each)}</div>" for each in options)
    return f"\n<div><label>{_text(name)}</label>{inside}</div>" if name else inside


def _button(option: Widget) -> str:
    if not option.get("wrap_label"):
        return _input(option)
    identity = option["attrs"].get("id")
    named = f' for="{_text(identity)}"' if identity else ""
    return f"<label{named}>{_input(option)}\n {_text(option['label'])}</label>"


_BUTTONS = {f"{_FOLDER}/radio_option.html", f"{_FOLDER}/checkbox_option.html"}
_INPUTS = (
    *("text", "number", "email", "url", "password", "hidden", "search", "tel"),
    *("date", "datetime", "time", "checkbox", "file"),
)
_WRITERS: dict[str, Callable[[Widget], str | None]] = {
    **{f"{_FOLDER}/{kind}.html": _input for kind in _INPUTS},
    f"{_FOLDER}/textarea.html": _textarea,
    f"{_FOLDER}/select.html": _select,
    f"{_FOLDER}/radio.html": _buttons,
    f"{_FOLDER}/checkbox_select.html": _buttons,
}


class FormRenderer(DjangoTemplates):
    """Django's own renderer, in code where a template is rendered many times a page."""

    def render(self, template_name: str, context: dict[str, Any], request: Any = None) -> str:
        """Return the field; what a form holds is escaped as a template escapes it."""
        writer = _WRITERS.get(template_name)
        written = writer(context["widget"]) if writer else None
        if written is None:
            return super().render(template_name, context, request)
        return mark_safe(written)
