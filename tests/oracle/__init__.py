"""A slow, plain second reading of the design, to check the service against.

Nothing here imports the service. Every answer is found by listing all valid
builds, one by one, and looking at them.
"""
