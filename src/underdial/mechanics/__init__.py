"""Lives here: formulas of pendulum, balance, springs, pivots, escapement, and the energy balance of a movement.

Never here: files, wall clock, randomness, logging.
"""
