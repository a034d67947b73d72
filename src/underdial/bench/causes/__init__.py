"""Lives here: what is wrong: the answer, the choices and what was agreed, and what finished jobs teach.

Never here: work that was done; the papers.
"""
