"""Lives here: work in rounds, what is expected of it, and the test that proves it.

Never here: choices and prices.
"""
