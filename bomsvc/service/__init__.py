"""Use cases, one function each, between the faces and the core; the ports they need.

Nothing here knows Flask, SQLAlchemy or a file.
"""
