"""Lives here: the grammar's reading: clause by clause, what is said of the parts.

Never here: numbers; the learned reading.
"""
