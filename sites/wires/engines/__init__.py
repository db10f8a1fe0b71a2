"""What the wire should read: copper, volts, and what a reading means."""
