"""Return first: gather what each station saves and takes, choose, say why, send to the tray."""
