"""Lives here: what the reader of bench speech is taught with: labelled look-overs, and what turns them into lessons.

For developers, not shipped with the package. Never here: anything the package needs when it runs, and the look-overs
held back.
"""
