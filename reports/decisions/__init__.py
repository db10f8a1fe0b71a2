"""Which legs to renew first with this money, and what was decided on each."""
