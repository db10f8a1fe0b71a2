"""What is charged from which day on: by the company, for a client, at a property.

It stands below the work, whose lines take their price from here. A list is never changed in
place: what was quoted or booked keeps its own price. It knows the register only.
"""
