"""Tests, read as statements about the trade."""
