"""The option logic: what a build can be, what follows, what to ask, and why."""
