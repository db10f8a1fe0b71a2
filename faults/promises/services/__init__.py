"""Promise a day, see when it slips, and say it in words."""
