"""Contrast as WCAG 2.2 defines it: the relative luminance of sRGB colours and their ratio."""

from __future__ import annotations

Rgb = tuple[int, int, int]


def luminance(colour: Rgb) -> float:
    red, green, blue = (_linear(part / 255) for part in colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def contrast(one: Rgb, other: Rgb) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)
