"""How much of the machine reading a photo may take, kept by the system itself."""

from __future__ import annotations

import os
import resource
import signal
from pathlib import Path

import cv2


def keep_within(seconds: int, memory: int) -> None:
    """Let this process have so many more seconds of one core, and so many more bytes.

    What takes longer is ended by the system, whatever it is doing; what takes more memory gets a
    MemoryError. The libraries are loaded by then and are not counted. What is ended leaves no copy
    of its memory on the disk.
    """
    cv2.setNumThreads(1)
    os.nice(10)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    used = resource.getrusage(resource.RUSAGE_SELF)
    end = int(used.ru_utime + used.ru_stime) + 1 + seconds
    resource.setrlimit(resource.RLIMIT_CPU, (end, end))
    pages = Path("/proc/self/statm")
    if pages.exists():
        held = int(pages.read_text(encoding="ascii").split()[0]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (held + memory, held + memory))
