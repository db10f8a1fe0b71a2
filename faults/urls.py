from django.urls import URLPattern

app_name = "faults"

urlpatterns: list[URLPattern] = []
