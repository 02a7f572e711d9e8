"""Whether a picture is sharp enough to read: what is fine in it against what is coarse."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

SHARP_GRID = 0.19
"""Straightened grids that read well have 0.2 and more, those that read badly for blur less."""

SHARP_PICTURE = 0.16
"""Of 90 sharp pictures none had less than 0.18; photos in which blur hid the grid had 0.12 to 0.17.
(Where blur is heavier still, only the sensor's noise is fine, and this does not see it.)"""

_LEAST_COARSE = 0.002
"""A picture of nothing is not blurred."""


def find_sharpness(picture: NDArray[np.float32]) -> float:
    """Return the share of fine differences in a picture, whose values go from 0 to 1."""
    fine = np.abs(picture - cv2.GaussianBlur(picture, (0, 0), 1)).mean()
    coarse = np.abs(picture - cv2.GaussianBlur(picture, (0, 0), 4)).mean()
    return float(fine / coarse) if coarse > _LEAST_COARSE else 1.0
