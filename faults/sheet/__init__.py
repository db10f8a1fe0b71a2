"""The job sheet: what a phone is given for a visit, and what it sends back."""
