"""Who signs in, with which role, and the lists that each keeps for oneself."""
