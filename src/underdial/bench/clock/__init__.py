"""Lives here: a clock of the shop as others take it: its case, movement, readings, files, and how things are named.

Never here: a page; anything done to the clock.
"""
