"""Working out what finished jobs would change, beside the pages: it takes a minute, so it runs by itself and its page
asks how far it is.

The only state that lives between requests: the one that is running, and how the last one ended. What it finds is kept
in the shop's folder.
"""

from __future__ import annotations

import logging
import threading
from dataclasses import dataclass, field

from underdial.bench.causes.teaching import what_jobs_would_change
from underdial.bench.shop import Shop
from underdial.errors import RuleBroken, UnderdialError


@dataclass(slots=True)
class BeingTaught:
    """The work of one shop: whether it runs, the part that is done, and what went wrong when it did."""

    shop: Shop
    running: bool = False
    done_ratio: float = 0.0
    refused: str | None = None
    stopped: bool = False
    lock: threading.Lock = field(default_factory=threading.Lock)
    thread: threading.Thread | None = None

    def begin(self) -> None:
        """Begin, unless it runs already."""
        with self.lock:
            if self.running:
                return
            self.running, self.done_ratio, self.refused, self.stopped = True, 0.0, None, False
        self.thread = threading.Thread(target=self._work, daemon=True, name="being taught")
        self.thread.start()

    def stop(self) -> None:
        """End it; nothing is kept."""
        self.stopped = True

    def _work(self) -> None:
        def progress(part: float) -> None:
            self.done_ratio = part
            if self.stopped:
                raise RuleBroken("jobs", "stopped", "worked out to the end", "It was stopped; nothing of it was kept.")

        try:
            what_jobs_would_change(self.shop, progress=progress)
        except UnderdialError as wrong:
            self.refused = wrong.message
        except Exception:
            # A fault of ours ends the thread; its page must not wait for ever.
            self.refused = (
                "A fault of ours. What was confirmed is safe. The window in which Underdial was started "
                "names the place."
            )
            logging.getLogger("underdial.bench").exception("a fault of ours")
        finally:
            self.running = False
