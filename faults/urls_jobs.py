"""Addresses of jobs and crews."""

from django.urls import URLPattern

job_patterns: list[URLPattern] = []
