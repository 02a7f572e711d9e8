"""What the command line says of many grids at once: how far it is, and where it stopped."""

from __future__ import annotations

BAR = 20


def draw_bar(done: int, whole: int) -> str:
    """A bar, full as far as things are done."""
    full = BAR * min(done, whole) // max(whole, 1)
    return f"[{'=' * full}{'-' * (BAR - full)}]"


def clock(seconds: float) -> str:
    """So many minutes and seconds."""
    minutes, left = divmod(int(seconds), 60)
    return f"{minutes}:{left:02}"


def progress(done: int, whole: int | None, seconds: float, *, before: int = 0) -> str:
    """How far it is and how fast, in one line.

    `whole` None: nobody knows how many come. So many were done `before`, in no time.
    """
    rate = (done - before) / seconds if seconds >= 1 else 0.0
    parts = [
        f"{done:,} done" if whole is None else f"{draw_bar(done, whole)} {done:,} of {whole:,}"
    ]
    if rate:
        parts.append(f"{rate:.1f} a second")
    if rate and whole is not None:
        parts.append(f"about {clock((whole - done) / rate)} left")
    return "; ".join(parts)


def stopped_adding(done: int) -> str:
    """Adding was stopped by Ctrl-C after so many lines."""
    return f"Stopped after {done:,}. To go on from there, give the same command again."


def not_a_number(text: str) -> str:
    """What was given for a number of grids is none."""
    return f"{text!r} is not a number of grids; give 0 or more, such as 512"


def stopped(done: int, go_on: str) -> str:
    """It was stopped by Ctrl-C after so many; `go_on` is what to type."""
    return f"Stopped after {done:,}. To go on from there: {go_on}"
