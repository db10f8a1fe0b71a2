"""The rota: which crew does which jobs on which day, in which order, computed and proven."""
