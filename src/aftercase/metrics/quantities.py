"""The numbers that are measured on a picture: their names, units, digits and errors."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

MEASURE_NAMES: Final = MappingProxyType(
    {
        "length": "Length",
        "path": "Path",
        "ring": "Ring",
        "area": "Area",
        "angle": "Angle between two wounds",
        "capsulorhexis": "Capsulorhexis",
        "tip-path": "Path of a tip",
    }
)


@dataclass(frozen=True)
class Quantity:
    """A number as it is named.

    Attributes:
        label: In words.
        unit: Its unit; of a length, what stands behind mm or px.
        power: 1 for a length, 2 for an area, else 0.
        digits: Digits after the point in millimetres, or in its own unit.
    """

    label: str
    unit: str = ""
    power: int = 0
    digits: int = 2


QUANTITIES: Final = MappingProxyType(
    {
        "length": Quantity("Length", power=1),
        "mean_diameter": Quantity("Mean diameter", power=1),
        "longest_diameter": Quantity("Longest diameter", power=1),
        "shortest_diameter": Quantity("Shortest diameter", power=1),
        "axis_ratio": Quantity("Shortest over longest diameter", digits=3),
        "circularity": Quantity("Circularity, 4π area over perimeter squared", digits=4),
        "perimeter": Quantity("Perimeter", power=1),
        "area": Quantity("Area", power=2, digits=1),
        "angle": Quantity("Angle", "degrees", digits=0),
        "hours": Quantity("Apart", "clock hours", digits=1),
        "offset": Quantity("Centre from that of the {around}", power=1),
        "offset_share": Quantity("The same over the radius of the {around}, as seen"),
        "covered": Quantity("Optic’s edge covered", "%", digits=0),
        "mean_overlap": Quantity("Overlap on the optic, mean", power=1),
        "least_overlap": Quantity("Overlap on the optic, least", power=1),
        "most_overlap": Quantity("Overlap on the optic, most", power=1),
        "duration": Quantity("Duration", "s"),
        "mean_speed": Quantity("Mean speed", "/s", power=1),
        "longest_wait": Quantity("Longest time between two clicks", "s"),
        "movements": Quantity("Movements, rise and fall above {threshold} mm/s", digits=0),
    }
)


@dataclass(frozen=True)
class Number:
    """One number of a measure.

    Attributes:
        name: Its name in a table, a key of `QUANTITIES`.
        label: Its name in words.
        value: The number.
        unit: ``mm``, ``mm²``, ``px``, ``px²``, ``mm/s``, ``degrees`` and so on; may be empty.
        error: How far off it may be at 95 %; None where nothing is off.
        how: ``as seen`` or how it was put right; empty where there is only one way.
        digits: Digits after the point that are shown.
    """

    name: str
    label: str
    value: float
    unit: str
    error: float | None
    how: str
    digits: int

    @property
    def text(self) -> str:
        """The number with its error and unit.

        Example:
            >>> Number("length", "Length", 5.25, "mm", 0.37, "", 2).text
            '5.25 ± 0.37 mm'
        """
        value = f"{self.value:.{self.digits}f}"
        off = "" if self.error is None else f" ± {_rounded_up(self.error, self.digits)}"
        return f"{value}{off} {self.unit}".rstrip()


def _rounded_up(error: float, digits: int) -> str:
    """Return an error with so many digits, never smaller than it is."""
    step = 10.0**-digits
    return f"{math.ceil(error / step - 1e-9) * step:.{digits}f}"
