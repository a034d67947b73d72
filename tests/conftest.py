"""Properties are never judged by the clock; on a shared machine of a run they are tried with the same examples each
time.
"""

import os

from hypothesis import settings

settings.register_profile("house", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("house")
