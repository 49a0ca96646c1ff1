"""One module per outgoing format, listed in `registry`."""
