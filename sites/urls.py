from django.urls import URLPattern

app_name = "sites"

urlpatterns: list[URLPattern] = []
