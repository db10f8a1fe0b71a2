"""Addresses of files."""

from django.urls import path

from reports.files import views as export

patterns = [
    path("export/", export.export, name="export"),
    path("export/register/", export.export_register, name="export_register"),
    path("export/summary/", export.export_summary, name="export_summary"),
]
