"""Lives here: what the trade knows, as data with its sources, components, conditions, faults, works, families,
cautions.

Never here: a computation.
"""
