"""Lives here: database and migrations, attachments, backup, archive.

Never here: computing a result.
"""
