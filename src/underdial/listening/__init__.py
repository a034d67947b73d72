"""Lives here: samples to beats, to rate, beat error and amplitude, or a refusal.

Never here: files, wall clock, randomness, logging, mechanics.
"""
