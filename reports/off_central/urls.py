"""Addresses of off central."""

from django.urls import path

from reports.off_central.views import client, first_steps, home, off_many

patterns = [
    path("", home.home, name="home"),
    path("off/many/", off_many.OffMany.as_view(), name="off_many"),
    path("first-hour/", first_steps.first_hour, name="first_hour"),
    path("first-hour/put-away/", first_steps.step_put_away, name="step_put_away"),
    path("first-hour/bring-back/", first_steps.step_bring_back, name="step_bring_back"),
    path("mine/", client.mine, name="mine"),
]
