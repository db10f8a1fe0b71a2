"""Set goals and take them back, and hold them against what is and what is forecast."""
