"""An invented contractor, with a person for each role."""
