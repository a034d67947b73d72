"""Lives here: the counter: who brings what, what is held and warned of, where things are.

Never here: what was found on the clock.
"""
