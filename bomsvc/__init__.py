"""From an engine's build and a job to the exact parts, gaskets and screws."""
