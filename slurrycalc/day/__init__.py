"""A declared bench day: read from a file, computed in one go."""
