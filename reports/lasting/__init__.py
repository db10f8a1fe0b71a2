"""How long stopgaps last: by reason, place, cause and crew."""
