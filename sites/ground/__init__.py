"""Points, the legs between them, and the plan on which they are drawn."""
