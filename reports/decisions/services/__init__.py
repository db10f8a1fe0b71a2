"""Weigh renewing legs with what is known of them, choose within a budget, decide, look back."""
