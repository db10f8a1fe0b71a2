"""The rota for the board: what can be planned, the plan beside today's, and taking it over."""
