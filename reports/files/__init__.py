"""The register and the summaries as files."""
