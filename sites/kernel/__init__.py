"""What every room uses: verbs, locks, days, history, roles and access, and the pages of verbs."""
