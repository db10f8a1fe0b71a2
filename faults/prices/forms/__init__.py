"""Forms of prices."""
