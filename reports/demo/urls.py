"""Addresses that exist only while the demo runs."""

from django.urls import path

from reports.demo import views as demo

app_name = "demo"

urlpatterns = [path("sign-in/", demo.sign_in, name="sign_in")]
