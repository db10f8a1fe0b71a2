"""Play the coming months many times over, and hold such forecasts against what came."""
