"""Addresses of search."""

from django.urls import path

from reports.search import views as search

patterns = [
    path("search/", search.search, name="search"),
    path("search/commands/", search.search_commands, name="search_commands"),
]
