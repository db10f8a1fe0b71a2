"""Fields that are written in code read as Django's own templates write them."""

import re
from datetime import date
from decimal import Decimal
from typing import Any
from unittest.mock import patch

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.utils.safestring import mark_safe
from django.utils.translation import gettext_lazy, override

from sites.kernel.forms.renderer import FormRenderer

WORST = "<b>\"Tansy\" & 'sons'</b>"
PLAIN = [("", "---------"), ("a", WORST), (7, "seven"), (12345, 12345), ("d", gettext_lazy("Day"))]
GROUPED = [("one & two", PLAIN[1:3]), (gettext_lazy("Day"), [(True, "yes"), (None, "none")])]
ATTRS = {"id": "id_x", "required": True, "disabled": False, "maxlength": 1234, "data-x": WORST}

CASES: list[tuple[forms.Widget, Any]] = [
    (forms.TextInput(), None),
    (forms.TextInput(), ""),
    (forms.TextInput(), WORST),
    (forms.TextInput(), mark_safe("<i>safe</i>")),
    (forms.NumberInput(), 12345.678),
    (forms.NumberInput(), Decimal("0.10")),
    (forms.NumberInput(), 0),
    (forms.EmailInput(), "pat@example.org"),
    (forms.URLInput(), "https://example.org/?a=1&b=2"),
    (forms.PasswordInput(render_value=True), "x"),
    (forms.HiddenInput(), 1234567),
    (forms.DateInput(), date(2026, 3, 14)),
    (forms.DateTimeInput(), "2026-03-14 10:00"),
    (forms.TimeInput(), "07:30"),
    (forms.CheckboxInput(), True),
    (forms.CheckboxInput(), False),
    (forms.CheckboxInput(), "on"),
    (forms.FileInput(), None),
    (forms.Textarea(), None),
    (forms.Textarea(), f"first\n\n{WORST}"),
    (forms.Select(choices=PLAIN), "a"),
    (forms.Select(choices=PLAIN), 7),
    (forms.Select(choices=PLAIN), None),
    (forms.Select(choices=[]), None),
    (forms.Select(choices=GROUPED), True),
    (forms.SelectMultiple(choices=PLAIN), ["a", 12345]),
    (forms.NullBooleanSelect(), True),
    (forms.RadioSelect(choices=PLAIN), "a"),
    (forms.RadioSelect(choices=GROUPED, attrs={"class": "row"}), True),
    (forms.RadioSelect(choices=[]), None),
    (forms.CheckboxSelectMultiple(choices=GROUPED), ["a"]),
    (forms.CheckboxSelectMultiple(choices=PLAIN), ["", 7]),
]


class OwnOption(forms.Select):
    """A select whose options have a template of their own is left to the templates."""

    option_template_name = "django/forms/widgets/radio_option.html"


def _without_spaces(html: str) -> str:
    """Drop what stands between tags: a browser shows none of it within a select."""
    return re.sub(r">\s+<", "><", html.strip())


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize(
    ("widget", "value"), [*CASES, (OwnOption(choices=PLAIN), "a")], ids=lambda each: repr(each)[:40]
)
def test_a_field_is_written_as_the_template_writes_it(
    widget: forms.Widget, value: Any, language: str
) -> None:
    with override(language):
        ours = widget.render("x&y", value, ATTRS, FormRenderer())
        theirs = widget.render("x&y", value, ATTRS, DjangoTemplates())
    assert _without_spaces(ours) == _without_spaces(theirs)


@pytest.mark.parametrize(
    ("kind", "tag", "mark"),
    [
        (forms.Select, "<option", " selected"),
        (forms.RadioSelect, "<input", " checked"),
        (forms.CheckboxSelectMultiple, "<input", " checked"),
    ],
)
def test_options_render_no_template(kind: Any, tag: str, mark: str) -> None:
    """600 time zones are 600 options: a template for each took a tenth of a second."""
    widget = kind(choices=[(str(n), f"zone {n}") for n in range(600)])
    with patch.object(DjangoTemplates, "get_template", side_effect=AssertionError):
        html = widget.render("zone", ["7"], {}, FormRenderer())
    assert html.count(tag) == 600
    assert html.count(mark) == 1
