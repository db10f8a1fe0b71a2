"""Load register files with all sheets: those of the register, and faults, breaks, readings.

The machinery is `sites.services.load`; here are the sheets of this app and the page's verbs.
"""
