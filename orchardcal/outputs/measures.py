"""Amounts as people say them: which unit, and how many digits, in metric or US units."""

from __future__ import annotations

from dataclasses import dataclass

from orchardcal.sentence import Celsius, CelsiusStep, Distance, Hours, Length, Rain, Volume

# Exact by definition: NIST Special Publication 811 (2008), appendix B.8.
M_PER_INCH = 0.0254
M_PER_FOOT = 0.3048
KM_PER_MILE = 1.609344
L_PER_GALLON = 3.785411784  # US liquid gallon, 231 cubic inches
FL_OZ_PER_GALLON = 128


@dataclass(frozen=True)
class Said:
    """A rounded number and its unit, named as in the Unicode CLDR."""

    number: float
    unit: str


def temperature(value: Celsius | CelsiusStep, us: bool) -> Said:
    """To a tenth of a degree."""
    if not us:
        return Said(_rounded(value.value_c, 1), "celsius")
    degrees_f = value.value_c * 1.8 + (32 if isinstance(value, Celsius) else 0)
    return Said(_rounded(degrees_f, 1), "fahrenheit")


def length(value: Length, us: bool) -> Said:
    """Centimetres below two metres, inches below four feet."""
    if us:
        if abs(value.value_m) < 4 * M_PER_FOOT:
            return Said(_rounded(value.value_m / M_PER_INCH, 1), "inch")
        return Said(_rounded(value.value_m / M_PER_FOOT, 1), "foot")
    if abs(value.value_m) < 2:
        return Said(_rounded(value.value_m * 100, 1), "centimeter")
    return Said(_rounded(value.value_m, 1), "meter")


def distance(value: Distance, us: bool) -> Said:
    """To a tenth below twenty, whole above."""
    number = value.value_km / (KM_PER_MILE if us else 1)
    return Said(_rounded(number, min(1, _digits(number))), "mile" if us else "kilometer")


def volume(value: Volume, us: bool) -> Said:
    """Millilitres below a tenth of a litre, fluid ounces below a quarter of a gallon."""
    if us:
        gallons = value.value_l / L_PER_GALLON
        if gallons < 0.25:
            return Said(_rounded(gallons * FL_OZ_PER_GALLON, 1), "fluid-ounce")
        return Said(_rounded(gallons, _digits(gallons)), "gallon")
    if value.value_l < 0.1:
        return Said(_rounded(value.value_l * 1000, 0), "milliliter")
    return Said(_rounded(value.value_l, _digits(value.value_l)), "liter")


def rain(value: Rain, us: bool) -> Said:
    """To a tenth of a millimetre or a hundredth of an inch, as gauges are read."""
    if us:
        return Said(_rounded(value.value_mm / 1000 / M_PER_INCH, 2), "inch")
    return Said(_rounded(value.value_mm, 1), "millimeter")


def hours(value: Hours) -> tuple[Said, ...]:
    """Hours and minutes to the quarter hour; work that takes any time takes at least a quarter."""
    quarters = round(value.value_h * 4)
    if value.value_h > 0:
        quarters = max(1, quarters)
    whole, rest = divmod(quarters, 4)
    parts = [Said(whole, "hour")] if whole or not rest else []
    return (*parts, Said(rest * 15, "minute")) if rest else tuple(parts)


def _digits(number: float) -> int:
    return 0 if abs(number) >= 20 else 1 if abs(number) >= 1 else 2


def _rounded(number: float, digits: int) -> float:
    return round(number, digits) + 0.0  # no "-0"
