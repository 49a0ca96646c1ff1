"""One module per schema version. A released migration is never edited."""
