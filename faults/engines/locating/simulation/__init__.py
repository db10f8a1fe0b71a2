"""Invented sites and noise to judge ways of searching; the plan never imports this."""
