"""Lives here: spoken numbers and units to measurements, each of its part.

Never here: what a value means; the learned reading.
"""
