"""Addresses of the doors for programs: the guide for people, and the API beside all apps."""

from django.urls import path, re_path

from reports.api.views.door import api
from reports.api.views.guide import nothing_there, programs

patterns = [path("programs/", programs, name="programs")]

# Not below an app: the library finds its own address by a namespace that stands alone.
urlpatterns = [path("api/v1/", api.urls), re_path("^api/", nothing_there, name="nothing_there")]
