"""Forms of loading: which files, and what people say about how they were understood."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.load.services.register import KINDS


class SeveralFiles(forms.ClearableFileInput):
    """The browser's own choice of one or more files."""

    allow_multiple_selected = True


class FilesField(forms.FileField):
    """One or more files, together no larger than a load may be."""

    widget = SeveralFiles

    def clean(self, data: object, initial: object = None) -> list[UploadedFile]:
        """Return the files."""
        given = (data or [None]) if isinstance(data, list | tuple) else [data]
        files = [super(FilesField, self).clean(each, initial) for each in given]
        size = sum(file.size or 0 for file in files)
        if size > settings.LARGEST_REGISTER_FILE_BYTES:
            raise forms.ValidationError(
                _("These are %(size).0f MB; at most %(most).0f MB are read in one load.")
                % {"size": size / 2**20, "most": settings.LARGEST_REGISTER_FILE_BYTES / 2**20}
            )
        return files


class FilesForm(forms.Form):
    """The files of one load."""

    brought = FilesField(
        label=gettext_lazy("Files"),
        help_text=gettext_lazy(
            "One workbook, one list, or several .csv files that belong together: "
            ".xlsx, .xls, .ods, .csv, .txt; positions of points also as .geojson or .gpx, named "
            "after the property's code."
        ),
        error_messages={
            "required": gettext_lazy("Choose at least one file."),
            "empty": gettext_lazy("This file is empty. Choose the one that holds the list."),
        },
    )


class MatchForm(forms.Form):
    """How each sheet and column was understood, to be corrected; and the load's questions."""

    day_order = forms.ChoiceField(
        label=gettext_lazy("Days such as 03/04/2025"),
        required=False,
        choices=[
            ("", gettext_lazy("as the file shows")),
            ("dmy", gettext_lazy("day first")),
            ("mdy", gettext_lazy("month first")),
        ],
    )
    decimal = forms.ChoiceField(
        label=gettext_lazy("Numbers such as 1,250"),
        required=False,
        choices=[
            ("", gettext_lazy("as the file shows")),
            (",", gettext_lazy("the comma is the decimal mark")),
            (".", gettext_lazy("the point is the decimal mark")),
        ],
    )
    units = forms.ChoiceField(
        label=gettext_lazy("Units where none is written"),
        required=False,
        choices=[
            ("", gettext_lazy("those of each property")),
            ("US", gettext_lazy("US: feet, inches, gallons")),
            ("metric", gettext_lazy("metric: metres, centimetres, litres")),
        ],
    )

    def __init__(
        self, shown: dict[str, Any], answers: dict[str, Any], data: Any | None = None
    ) -> None:
        initial = {name: answers.get(name, "") for name in ("day_order", "decimal", "units")}
        super().__init__(data, initial=initial)
        self.shown, self.answers = shown, answers
        for index, sheet in enumerate(shown["sheets"]):
            self._add_sheet(index, sheet)

    def sheets(self) -> list[dict[str, object]]:
        """Return each sheet with its bound fields, for the page."""
        return [
            {
                "name": sheet["name"],
                "kind": self[f"sheet-{index}"],
                "columns": [
                    {"match": column, "field": self._of_column(index, sheet, column)}
                    for column in sheet["columns"]
                ],
            }
            for index, sheet in enumerate(self.shown["sheets"])
        ]

    def _of_column(
        self, index: int, sheet: dict[str, Any], column: dict[str, Any]
    ) -> forms.BoundField | None:
        """Columns of a sheet that nobody knows are shown, and asked for once it is known."""
        return self[f"column-{index}-{column['letter']}"] if sheet["kind"] else None

    def corrected(self) -> dict[str, object]:
        """Return the answers, those given before and those that differ from what was shown."""
        answers: dict[str, object] = {
            "sheets": dict(self.answers.get("sheets", {})),
            "columns": {k: dict(v) for k, v in self.answers.get("columns", {}).items()},
        }
        for name in ("day_order", "decimal", "units"):
            answers[name] = self.cleaned_data.get(name, "")
        for index, sheet in enumerate(self.shown["sheets"]):
            self._correct_sheet(answers, index, sheet)
        return answers

    def _correct_sheet(self, answers: dict[str, Any], index: int, sheet: dict[str, Any]) -> None:
        name, kind = sheet["name"], self.cleaned_data[f"sheet-{index}"]
        if kind != sheet["kind"]:
            answers["sheets"][name] = kind
            answers["columns"].pop(name, None)
            return
        for column in sheet["columns"] if kind else ():
            field = self.cleaned_data[f"column-{index}-{column['letter']}"]
            if field != column["field"]:
                answers["columns"].setdefault(name, {})[column["letter"]] = field

    def _add_sheet(self, index: int, sheet: dict[str, Any]) -> None:
        self.fields[f"sheet-{index}"] = forms.ChoiceField(
            label=_("%(sheet)s is") % {"sheet": sheet["name"]},
            required=False,
            initial=sheet["kind"],
            choices=[("", _("left out")), *((name, name) for name in KINDS)],
        )
        if not sheet["kind"]:
            return
        choices = [("", _("not used")), *_fields(sheet["kind"])]
        for column in sheet["columns"]:
            self.fields[f"column-{index}-{column['letter']}"] = forms.ChoiceField(
                label=f"{column['letter']} {column['heading']}",
                required=False,
                initial=column["field"],
                choices=choices,
            )


def _fields(kind: str) -> Sequence[tuple[str, str]]:
    return [
        (column.field, f"{column.field} *" if column.required else column.field)
        for column in KINDS[kind].columns
    ]
