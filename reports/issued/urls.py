"""Addresses of reports."""

from django.urls import path

from reports.issued.views import asking, issued
from sites.kernel.views.verb_views import page

patterns = [
    path("reports/", issued.reports, name="reports"),
    path("reports/ask/", asking.ask, name="report_ask"),
    path("faults/<ref:ref>/report/", asking.ask_of_fault, name="fault_report"),
    path("rounds/<ref:ref>/report/", asking.ask_of_round, name="round_report"),
    path("reports/made/<ref:ref>/", asking.run, name="report_run"),
    path("reports/made/<ref:ref>/progress/", asking.progress, name="report_progress"),
    path("reports/made/<ref:ref>/stop/", asking.stop, name="report_stop"),
    path("reports/drafts/<ref:ref>/", asking.draft, name="report_draft"),
    path("reports/drafts/<ref:ref>/issue/", asking.issue, name="draft_issue"),
    page("reports/drafts/<ref:ref>/throw-away/", asking.DraftThrowAway),
    path("reports/drafts/<ref:ref>/<slug:kind>/", asking.draft_file, name="draft_file"),
    page("reports/series/add/", issued.SeriesAdd),
    page("reports/series/<ref:ref>/end/", issued.SeriesEnd),
    path("reports/<ref:ref>/", issued.issued, name="issued"),
    path("reports/<ref:ref>/<slug:kind>/", issued.issued_file, name="issued_file"),
    path("reports/<ref:ref>/pictures/<ref:picture>/", issued.issued_photo, name="issued_photo"),
]
