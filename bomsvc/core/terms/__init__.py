"""The smallest words: numbers as written, codes, part numbers, pointers, problems."""
