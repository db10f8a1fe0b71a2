"""Invented sites and noise to compare ways of searching; the plan never imports this.

`manage.py simulate_locating` runs them; figures and what was tried: `tests/bench/README.md`.
"""
