"""Load register files with all sheets: those of the register, and faults, breaks, readings.

The machinery is `sites.load.services`; here are the sheets of this app and the page's verbs.
"""
