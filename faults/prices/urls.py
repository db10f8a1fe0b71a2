"""Addresses of prices."""

from django.urls import path

from faults.prices import views
from sites.kernel.views.verb_views import page

patterns = [
    path("prices/", views.prices, name="prices"),
    page("prices/company/", views.PricesCompany),
    path("properties/<ref:ref>/prices/", views.property_prices, name="property_prices"),
    page("properties/<ref:ref>/prices/own/", views.PricesOwn),
    page("properties/<ref:ref>/prices/client/", views.PricesClient),
    page("price-lists/<int:pk>/correct/", views.PricesCorrect),
    page("price-lists/<int:pk>/take-back/", views.PricesTakeBack),
]
