"""Lives here: a sentence laid out: its words told apart, its noun phrases, lists and clauses.

Never here: which part is meant; what is stated.
"""
