"""The operations, one module per resource, each with its tuple OPERATIONS."""
