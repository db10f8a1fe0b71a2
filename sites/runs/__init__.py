"""Long work in the background: with progress, a result, and a way to stop it."""
