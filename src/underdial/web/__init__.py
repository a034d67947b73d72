"""Lives here: a request to a bench function, its result to a page.

Never here: SQL, a formula.
"""
