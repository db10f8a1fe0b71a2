"""When all will be back, how sure that is, and what would change it."""
