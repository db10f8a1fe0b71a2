"""What is charged from which day on: by the company, for a client, at a property.

It stands below the cases, whose spending is priced from here, and below the work, whose lines
are. A list is not changed from a day on, but followed by another: what was quoted or booked keeps
its own price. It knows the register only.
"""
