"""Lives here: records to documents and drawings.

Never here: looking things up.
"""
