"""What every room uses: verbs, days, history, roles, access, pages of verbs."""
