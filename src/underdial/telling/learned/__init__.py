"""Lives here: the learned reading: its network, what that finds, and how both readings are brought together.

Never here: a rule of grammar.
"""
