"""What an option of a quote comes to, and how long a search may take."""
