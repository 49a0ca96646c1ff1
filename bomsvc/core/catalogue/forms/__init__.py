"""The forms a field's value may take: read, written and described in one place."""
