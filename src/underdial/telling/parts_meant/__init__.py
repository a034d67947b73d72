"""Lives here: which parts are spoken of, from what is named and from what was said before.

Never here: what is said of them; numbers.
"""
