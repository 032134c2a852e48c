"""Winter chill of hourly temperatures: hours, Utah units, portions of the Dynamic Model."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Counts = NDArray[np.int8]

ZERO_C_IN_K = 273.0  # not 273.15: see chill_portions

# Half Utah units gained (+1) or lost (-1) on rising above each temperature [°C].
UTAH_GAINS_ABOVE_C = (1.4, 2.4)
UTAH_LOSSES_ABOVE_C = (9.1, 12.4)
UTAH_HARM_ABOVE_C = (15.9, 18.0)


def hours_0_to_72(air_c: NDArray[Any]) -> Counts:
    """1 for each hour from 0 to 7.2 °C (32 to 45 °F), both ends included, else 0.

    air_c: hourly [°C], any shape. Returns counts of the same shape.

    Source: Weinberger (1950), Proc. Am. Soc. Hortic. Sci. 56:122-128, hours at 45 °F and below,
        with the floor at freezing that extension services have added since.
    Departs from it: nothing.

    >>> hours_0_to_72(np.array([-0.1, 0.0, 7.2, 7.3])).tolist()
    [0, 1, 1, 0]
    """
    return ((air_c >= 0) & (air_c <= 7.2)).view(np.int8)


def hours_below_72(air_c: NDArray[Any]) -> Counts:
    """1 for each hour below 7.2 °C (45 °F), frost included, else 0.

    At a cold site twice `hours_0_to_72` and more: never say "chill hours" without saying which.

    air_c: hourly [°C], any shape. Returns counts of the same shape.

    Source: Weinberger (1950), Proc. Am. Soc. Hortic. Sci. 56:122-128.
    Departs from it: strictly below, so that 7.2 °C itself does not count.
    """
    return (air_c < 7.2).view(np.int8)


def half_utah_units(air_c: NDArray[Any]) -> tuple[Counts, Counts]:
    """Utah units of each hour, and the same with no hour below zero, both in halves.

    Warm hours take chill away again; the positive form, for mild winters, lets them take none. The
    upper end of a class belongs to it: 1.4 °C counts 0, 2.4 °C a half, 9.1 °C one, 12.4 °C a half,
    15.9 °C 0, 18 °C minus a half, more minus one.

    air_c: hourly [°C], any shape.
    Returns (Utah, positive Utah) in half units, same shape each; small whole numbers, because 24
    of them still fit a byte and are exact.

    Source: Richardson, Seeley & Walker (1974), HortScience 9(4):331-332; positive form:
        Linsley-Noakes, Louw & Allan (1995), J. S. Afr. Soc. Hortic. Sci. 5.
    Departs from it: nothing is drawn between classes. The last step stands at 18 °C, as chillR
        has it; xclim takes 17.9 °C: half a unit in a year of Greensboro's hours. The positive form
        drops single hours; xclim and some authors drop whole days instead.

    >>> (half_utah_units(np.array([1.4, 2.0, 6.0, 10.0, 14.0, 17.0, 20.0]))[0] / 2).tolist()
    [0.0, 0.5, 1.0, 0.5, 0.0, -0.5, -1.0]
    """
    positive = np.zeros(air_c.shape, dtype=np.int8)
    for above_c in UTAH_GAINS_ABOVE_C:
        positive += (air_c > above_c).view(np.int8)
    for above_c in UTAH_LOSSES_ABOVE_C:
        positive -= (air_c > above_c).view(np.int8)
    utah = positive.copy()
    for above_c in UTAH_HARM_ABOVE_C:
        utah -= (air_c > above_c).view(np.int8)
    return utah, positive


def chill_portions(air_c: Floats) -> Floats:
    """Portions banked in each hour under the Dynamic Model.

    Cold builds an intermediate that warmth can undo; once it reaches 1 it is banked as a portion
    that nothing undoes. So totals never fall, and they depend on the order of the hours. Below
    about 8 °C only part of the intermediate is banked: portions are fractions, never floored.

    air_c: hourly air temperature [°C], shape (..., hours), no gaps; the intermediate is empty
        before the first hour.
    Returns portions, same shape; hour i acts in hour i. Their sum is good to a portion a season:
    a warm spell may win or lose one over a change too small to measure.

    Source: Fishman, Erez & Couvillon (1987), J. Theor. Biol. 124:473-483,
        doi:10.1016/S0022-5193(87)80221-7; parameters of Erez, Fishman, Linsley-Noakes & Allan
        (1990), Acta Hortic. 276:165-174, as chillR 0.77 and xclim 0.62 carry them.
    Departs from it: 0 °C is 273 K, with which the parameters were fitted and published needs
        counted; 273.15 K equals air 0.15 °C warmer and moves a winter by 1.5 portions on average,
        by up to 6. Against chillR the total stands one hour earlier and includes the last hour.

    >>> month_at = lambda c: round(float(chill_portions(np.full(720, c)).sum()), 1)
    >>> month_at(6.0), month_at(14.0)
    (24.4, 0.0)
    """
    hours = np.shape(air_c)[-1]
    lanes = np.ascontiguousarray(np.reshape(air_c, (-1, hours)).T, dtype=np.float64)
    banked = DynamicModel(lanes.shape[1], hours).portions(lanes)
    return np.ascontiguousarray(banked.T).reshape(np.shape(air_c))


class DynamicModel:
    """The Dynamic Model over hours that come in blocks, many lanes side by side.

    The equations and their source stand at `chill_portions`. The intermediate is carried from
    block to block. Buffers are made once: making them anew for each block costs as much as the
    exponentials.
    """

    E0_K, E1_K = 4153.5, 12888.8
    A0, A1 = 139500.0, 2.567e18  # a slip in the fifth digit of their logarithms flips a portion
    SLOPE_K, TRANSITION_K = 1.6, 277.0

    def __init__(self, lanes: int, hours_at_once: int) -> None:
        self.intermediate = np.zeros(lanes)
        self._banked_now = np.empty(lanes)
        self._buffers = np.empty((4, hours_at_once, lanes))

    def portions(self, air_c: Floats) -> Floats:
        """Portions banked in each hour of the next block.

        air_c: [°C], shape (hours, lanes), at most hours_at_once hours.
        Returns portions, same shape; the next call overwrites them.
        """
        portions: Floats
        portions, gain, kept, share = self._buffers[:, : air_c.shape[0]]
        self._rates(air_c, gain, kept, share, scratch=portions)
        x, banked = self.intermediate, self._banked_now
        # x is never negative and share below 1, so min(floor(x), share) is 0 until x reaches 1
        # and share from there on: the conversion without a branch.
        for kept_now, gain_now, share_now, portion in zip(kept, gain, share, portions, strict=True):
            np.multiply(x, kept_now, out=x)
            np.add(x, gain_now, out=x)
            np.floor(x, out=banked)
            np.minimum(banked, share_now, out=banked)
            np.multiply(banked, x, out=portion)
            np.subtract(x, portion, out=x)
        return portions

    def _rates(
        self, air_c: Floats, gain: Floats, kept: Floats, share: Floats, scratch: Floats
    ) -> None:
        """Fills gain and kept (x becomes x * kept + gain within the hour) and the banked share.

        kept = exp(-A1 exp(-E1/K)); gain = (A0/A1) exp((E1-E0)/K) (1 - kept);
        share = 1 / (1 + exp(-slope * Tf * (K - Tf) / K)).
        """
        per_kelvin = scratch
        np.add(air_c, ZERO_C_IN_K, out=per_kelvin)
        np.divide(1.0, per_kelvin, out=per_kelvin)

        np.multiply(per_kelvin, -self.E1_K, out=kept)
        np.exp(kept, out=kept)
        kept *= -self.A1
        np.exp(kept, out=kept)

        np.multiply(per_kelvin, self.E1_K - self.E0_K, out=gain)
        np.exp(gain, out=gain)
        gain *= self.A0 / self.A1
        np.multiply(gain, kept, out=share)
        gain -= share

        np.multiply(per_kelvin, self.SLOPE_K * self.TRANSITION_K**2, out=share)
        share -= self.SLOPE_K * self.TRANSITION_K
        np.exp(share, out=share)
        share += 1
        np.divide(1.0, share, out=share)
