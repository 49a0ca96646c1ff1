"""Core values as plain JSON trees, in the shapes of the REST replies."""
