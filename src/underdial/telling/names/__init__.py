"""Lives here: what parts and their states are called, which part belongs to which, which state can be of what.

Never here: a rule of grammar.
"""
