"""Forecasts how a deep garden bed filled with logs, prunings, green waste, card, turf and topsoil
sinks as it settles and rots: height, carbon, nitrogen and top-ups month by month, with intervals.

>>> import moulder
>>> bed = moulder.Bed.example()
>>> forecast = bed.forecast(months=6, draws=20)
>>> len(forecast.months["height_m"])
7

Figures are SI with the unit in every name. Whatever is wrong is a ``TypeError``, a ``ValueError``
or, of a bed, a ``BedError`` that carries every fault.
"""

from ._moulder import (
    Bed,
    Chart,
    Forecast,
    __version__,
    bands_many,
    columns,
    compare,
    forecast_many,
)
from .bed_error import BedError

__all__ = [
    "Bed",
    "BedError",
    "Chart",
    "Forecast",
    "__version__",
    "bands_many",
    "columns",
    "compare",
    "forecast_many",
]
