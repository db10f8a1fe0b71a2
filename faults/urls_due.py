"""Addresses of what falls due, calendars and health."""

from django.urls import URLPattern

due_patterns: list[URLPattern] = []
