"""Lives here: bench readings to dimensions: runout, density, poise, bushes, cone pivots.

Never here: files, wall clock, randomness, logging.
"""
