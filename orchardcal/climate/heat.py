"""Spring heat of hourly temperatures: growing degree hours, linear and ASYMCUR."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Real = TypeVar("Real", np.float32, np.float64)

LINEAR_BASE_C, LINEAR_TOP_C = 4.5, 25.0
BASE_C, OPTIMUM_C, CRITICAL_C = 4.0, 25.0, 36.0
PI = float(np.pi)


def linear_gdh(air_c: NDArray[Real]) -> NDArray[Real]:
    """Growing degree hours of each hour, linear form: degrees above 4.5 °C, at most 20.5.

    Not to be compared with a need counted in `asymcur_gdh`: at 10 °C it is 5.5 against 3.95.

    air_c: hourly [°C], any shape. Returns GDH [°C h], same shape.

    Source: Richardson, Seeley, Walker, Anderson & Ashcroft (1975), HortScience 10(6):559-562.
    Departs from it: nothing.

    >>> linear_gdh(np.array([4.0, 10.0, 30.0])).tolist()
    [0.0, 5.5, 20.5]
    """
    heat: NDArray[Real] = np.clip(air_c, LINEAR_BASE_C, LINEAR_TOP_C)
    heat -= LINEAR_BASE_C
    return heat


def asymcur_gdh(air_c: NDArray[Real]) -> NDArray[Real]:
    """Growing degree hours of each hour, asymmetric curve: most at 25 °C, none below 4 or above 36.

    Needs of bud stages are mostly published in this form since 1986. Hours of heat slow a tree
    above 25 °C instead of counting in full.

    air_c: hourly [°C], any shape. Returns GDH [°C h], same shape and precision.

    Source: Anderson, Richardson & Kesner (1986), Acta Hortic. 184:71-78, ASYMCUR with base 4,
        optimum 25 and critical 36 °C, stress factor 1.
    Departs from it: nothing. The two cosines are written as one product, the second factor being
        1 up to the optimum; their parameters are sour cherry's, used for all species as usual.

    >>> asymcur_gdh(np.array([4.0, 14.5, 25.0, 36.0])).round(6).tolist()
    [0.0, 10.5, 21.0, 0.0]
    """
    rise = PI / (OPTIMUM_C - BASE_C)
    heat: NDArray[Real] = np.clip(air_c, BASE_C, OPTIMUM_C)
    heat *= rise
    heat -= rise * BASE_C
    np.cos(heat, out=heat)
    heat *= -(OPTIMUM_C - BASE_C) / 2
    heat += (OPTIMUM_C - BASE_C) / 2
    if air_c.max(initial=OPTIMUM_C) > OPTIMUM_C:
        fall = PI / 2 / (CRITICAL_C - OPTIMUM_C)
        stress = np.clip(air_c, OPTIMUM_C, CRITICAL_C)
        stress *= fall
        stress -= fall * OPTIMUM_C
        np.sin(stress, out=stress)
        np.subtract(1, stress, out=stress)
        heat *= stress
    return heat
