"""A column file made by asking: what a contractor's sheet shows, what that suggests, and questions for the rest."""
