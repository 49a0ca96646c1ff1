"""Files in: YAML, workbooks and CSV; every error with its place."""
