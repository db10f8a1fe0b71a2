"""A fault: its stations and stages, its breaks and photos, questions to its client."""
