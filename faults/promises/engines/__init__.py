"""By which day a fault is over, and how sure that is: plain Python."""
