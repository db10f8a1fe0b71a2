"""Addresses of job sheets."""

from django.urls import path

from faults.sheet.views import sheet_app, sheets
from sites.kernel.views.verb_views import page

patterns = [
    path("sheets/", sheets.sheets, name="sheets"),
    path("sheets/print/", sheets.sheets_print, name="sheets_print"),
    path("sheet/items/", sheets.sheet_items, name="sheet_items"),
    path("jobs/<ref:ref>/sheet/", sheets.sheet, name="sheet"),
    path("jobs/<ref:ref>/sheet/data/", sheets.sheet_data, name="sheet_data"),
    path("jobs/<ref:ref>/sheet/photos/<ref:photo>/", sheets.sheet_photo, name="sheet_photo"),
    path("jobs/<ref:ref>/sheet/kept/", sheets.sheet_kept, name="sheet_kept"),
    page("jobs/<ref:ref>/sheet/settle/", sheets.SheetSettle),
    path("sheet-worker.js", sheet_app.sheet_worker, name="sheet_worker"),
    path("sheet.webmanifest", sheet_app.sheet_manifest, name="sheet_manifest"),
]
