"""All addresses: each app names its own, the highest app first because it holds the home page."""

from django.conf import settings
from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("", include("reports.api.urls")),
    path("", include("reports.urls")),
    path("", include("faults.urls")),
    path("", include("sites.urls")),
    path("admin/", admin.site.urls),
]

if settings.DEMO:
    urlpatterns.append(path("demo/", include("reports.demo.urls")))

handler400 = "sites.kernel.views.errors.bad_request"
handler403 = "sites.kernel.views.errors.forbidden"
handler404 = "sites.kernel.views.errors.not_found"
handler500 = "sites.kernel.views.errors.broken"
