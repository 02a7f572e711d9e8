"""How long tests wait for what has to come. It measures nothing: a test that passes never waits so
long, however loaded the machine is, and one that hangs ends some time.
"""

from __future__ import annotations

PATIENCE = 180.0
"""Seconds."""
