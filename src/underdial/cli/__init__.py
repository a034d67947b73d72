"""Lives here: a line typed to a bench function, its result to a line printed.

Never here: SQL, a formula. Each command is imported only when it is asked for, so that help is instant.
"""

from underdial.cli.frame import main

__all__ = ["main"]
