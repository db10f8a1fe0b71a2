"""Who goes where, when and in which order: the best rota, proven or with its gap."""
