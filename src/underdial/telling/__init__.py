"""Lives here: spoken words to findings.

Never here: audio, files.
"""
