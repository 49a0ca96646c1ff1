"""REST under /api/v1: routes as a registry, strict input, problems, conditions.

A route is an `Operation` of the registry or it does not exist; `app` refuses to
start with any other.
"""
