"""Addresses of what to bring back first."""

from django.urls import path

from reports.returning import views

patterns = [
    path("first/", views.ask, name="return_first"),
    path("first/<ref:ref>/", views.found, name="return_found"),
    path("first/<ref:ref>/progress/", views.progress, name="return_progress"),
    path("first/<ref:ref>/stop/", views.stop, name="return_stop"),
    path("first/<ref:ref>/send/", views.send, name="return_send"),
    path("first/<ref:ref>/take-back/", views.unsend, name="return_unsend"),
]
