"""Addresses of searches and of the numbers that they assume."""

from django.urls import path

from faults.locating.views import search_numbers, search_work, searches
from sites.kernel.views.verb_views import page

patterns = [
    path("faults/<ref:ref>/search/<ref:station>/", searches.where, name="where"),
    page("faults/<ref:ref>/search/<ref:station>/start/", search_work.SearchStart),
    path("searches/", searches.searches, name="searches"),
    page("searches/<ref:ref>/record/<slug:kind>/", search_work.SearchRecord),
    page("searches/<ref:ref>/at-hand/", search_work.SearchEquip),
    page("searches/<ref:ref>/end/", search_work.SearchFinish),
    page("searches/<ref:ref>/go-on/", search_work.SearchGoOn),
    page("search-readings/<int:pk>/void/", search_work.SearchReadingVoid),
    path("searches/numbers/", search_numbers.numbers, name="search_numbers"),
    page("searches/numbers/<slug:name>/", search_numbers.SearchNumber),
    page("searches/numbers/<slug:name>/built-in/", search_numbers.SearchNumberBuiltIn),
]
