"""The doors for programs."""
