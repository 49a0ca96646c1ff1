"""Pure: values in, values out; nothing here reads a clock, a file or a network."""
