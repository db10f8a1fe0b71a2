"""Forms of the verbs, one module for each family of verbs."""
