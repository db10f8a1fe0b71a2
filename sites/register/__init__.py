"""Clients, properties, controllers and stations: their facts over days."""
