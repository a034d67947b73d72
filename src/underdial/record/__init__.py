"""Lives here: the frozen records of the shop and the rules on them.

Never here: SQL, HTTP, HTML.
"""
