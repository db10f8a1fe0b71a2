"""Our drawings as shapes for templates: the strip and the site plan."""
