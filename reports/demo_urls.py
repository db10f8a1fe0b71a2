"""Addresses that exist only while the demo runs."""

from django.urls import path

from reports.views import demo

app_name = "demo"

urlpatterns = [path("sign-in/", demo.sign_in, name="sign_in")]
