"""Fahrenheit, inches and feet at the door; inside there are only °C, mm and m."""

from __future__ import annotations

# Source: NIST Special Publication 811 (2008), appendix B.8: exact.
MM_PER_INCH = 25.4
M_PER_INCH = 0.0254
M_PER_FOOT = 0.3048


def celsius(value_f: float) -> float:
    """Degrees Celsius from Fahrenheit.

    Source: NIST Special Publication 811 (2008), appendix B.8: t/°C = (t/°F - 32)/1.8.

    >>> celsius(32), celsius(212), celsius(-40)
    (0.0, 100.0, -40.0)
    """
    return (value_f - 32) / 1.8
