"""What was promised to whom, how sure it was, and whether it was kept."""
