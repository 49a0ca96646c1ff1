"""Repositories: rows to records and back, one module per aggregate."""
