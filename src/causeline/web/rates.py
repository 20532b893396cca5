"""How often something may be tried: so many times within so long, for each who tries."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable

from causeline.web.mistakes import Mistake, Refusal

MOST_KEYS = 10_000
"""Who tried longest ago is forgotten beyond that: memory stays small whoever comes."""


class Rate:
    """At most `most` times within `within_s` seconds for each key; kept in this process."""

    def __init__(
        self, most: int, within_s: float, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self.most, self.within_s = most, within_s
        self._clock = clock
        self._tries: dict[str, deque[float]] = {}
        self._lock = threading.Lock()

    def take(self, key: str) -> None:
        """Count one try. Raises Refusal (429) where there were too many."""
        wait_s = self._count(key)
        if wait_s > 0:
            raise Refusal(
                Mistake(
                    429,
                    "that was tried too often",
                    f"at most {self.most} tries in {_span(self.within_s)} were expected",
                    f"wait {_span(wait_s)}, then try again",
                )
            )

    def forget(self, key: str) -> None:
        """Begin anew: it went well."""
        with self._lock:
            self._tries.pop(key, None)

    def _count(self, key: str) -> float:
        """Seconds to wait; 0 where it may be tried now."""
        now = self._clock()
        with self._lock:
            tries = self._tries.pop(key, deque())
            while tries and now - tries[0] > self.within_s:
                tries.popleft()
            self._tries[key] = tries  # the newest at the end
            while len(self._tries) > MOST_KEYS:
                del self._tries[next(iter(self._tries))]
            if len(tries) >= self.most:
                return self.within_s - (now - tries[0])
            tries.append(now)
            return 0.0


def _span(seconds: float) -> str:
    minutes = max(1, round(seconds / 60))
    return f"{minutes} minute{'' if minutes == 1 else 's'}"
