"""The rota's engine: published optima, plans against every plan there is, long days, reasons."""
