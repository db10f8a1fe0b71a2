"""Answers across all of it."""

from django.apps import AppConfig


class ReportsConfig(AppConfig):
    """The highest app: it reads both apps below it and nothing points at it."""

    name = "reports"
