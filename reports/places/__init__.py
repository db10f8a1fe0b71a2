"""A property and a station with all that is known of them, and their drawings."""
