"""Addresses of off central."""

from django.urls import path

from reports.off_central.views import client, home

patterns = [
    path("", home.home, name="home"),
    path("mine/", client.mine, name="mine"),
]
