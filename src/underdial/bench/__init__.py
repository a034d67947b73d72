"""Lives here: one function for each thing the repairer does: read, compute, write, in one transaction.

Never here: HTTP, printing.
"""
