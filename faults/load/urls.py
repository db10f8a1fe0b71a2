"""Addresses of load."""

from django.urls import path

from faults.load import views as load

patterns = [
    path("load/", load.load, name="load"),
    path("load/guide/", load.load_guide, name="load_guide"),
    path("load/templates.xlsx", load.load_templates, name="load_templates"),
    path("load/<ref:ref>/", load.load_upload, name="load_upload"),
    path("load/<ref:ref>/progress/", load.load_progress, name="load_progress"),
    path("load/<ref:ref>/match/", load.load_match, name="load_match"),
    path("load/<ref:ref>/to-mend.xlsx", load.load_to_mend, name="load_to_mend"),
    path("load/<ref:ref>/confirm/", load.load_confirm, name="load_confirm"),
    path("load/<ref:ref>/again/", load.load_again, name="load_again"),
    path("load/<ref:ref>/cancel/", load.load_cancel, name="load_cancel"),
    path("load/<ref:ref>/take-back/", load.load_take_back, name="load_take_back"),
    path("load/<ref:ref>/give-up/", load.load_give_up, name="load_give_up"),
]
