"""Curves of how long something lasts, from times that are over and times that go on."""
