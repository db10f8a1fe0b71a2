"""Addresses of how long stopgaps last."""

from django.urls import path

from reports.lasting import views

patterns = [
    path("lasting/", views.lasting, name="lasting"),
    path("lasting/work-out/", views.work_out, name="lasting_work_out"),
    path("lasting/progress/", views.progress, name="lasting_progress"),
]
