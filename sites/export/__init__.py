"""The register as the very sheets that loading reads."""
