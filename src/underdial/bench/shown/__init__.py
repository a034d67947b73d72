"""Lives here: what is made ready to be read: the pages of a clock, its papers, the handbook, the help.

Never here: HTTP; anything that changes the record.
"""
