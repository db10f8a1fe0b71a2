"""Addresses of notices, their rules, access and questions to the client."""

from django.urls import URLPattern

notice_patterns: list[URLPattern] = []
