"""A fault: its stations and their stages, its breaks, its photos, and the questions to its client.

The hub: it knows no other room of this app.
"""
