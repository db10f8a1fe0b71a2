"""Addresses of searches and of the numbers that they assume."""

from django.urls import path

from faults.locating.views import search_numbers, search_work, searches

patterns = [
    path("faults/<ref:ref>/search/<ref:station>/", searches.where, name="where"),
    path("faults/<ref:ref>/search/<ref:station>/start/", search_work.start, name="search_start"),
    path("searches/", searches.searches, name="searches"),
    path("searches/<ref:ref>/record/<slug:kind>/", search_work.record, name="search_record"),
    path("searches/<ref:ref>/at-hand/", search_work.equip, name="search_equip"),
    path("searches/<ref:ref>/end/", search_work.finish, name="search_finish"),
    path("searches/<ref:ref>/go-on/", search_work.go_on, name="search_go_on"),
    path("search-readings/<int:pk>/void/", search_work.void, name="search_reading_void"),
    path("searches/numbers/", search_numbers.numbers, name="search_numbers"),
    path("searches/numbers/<slug:name>/", search_numbers.number, name="search_number"),
    path(
        "searches/numbers/<slug:name>/built-in/",
        search_numbers.built_in,
        name="search_number_built_in",
    ),
]
