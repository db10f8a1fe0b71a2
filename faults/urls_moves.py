"""Addresses of whose move it is, and of who goes when."""

from django.urls import URLPattern

moves_patterns: list[URLPattern] = []
