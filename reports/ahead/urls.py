"""Addresses of when all will be back."""

from django.urls import path

from reports.ahead import views

patterns = [
    path("ahead/", views.ahead, name="ahead"),
    path("ahead/work-out/", views.work_out, name="ahead_work_out"),
    path("ahead/progress/", views.progress, name="ahead_progress"),
]
