"""The benches, one module a part; each yields figures for one table."""
