"""The extension module: see the package ``moulder``."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from os import PathLike
from typing import Any, SupportsIndex, final

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Bed",
    "Chart",
    "columns",
    "compare",
    "Forecast",
    "bands_many",
    "forecast_many",
    "_restored_bed",
    "__version__",
]

__version__: str

_Progress = Callable[[int, int], object]
_Floats = NDArray[np.float64]

@final
class Bed:
    @staticmethod
    def from_toml(text: str) -> Bed: ...
    @staticmethod
    def from_json(text: str) -> Bed: ...
    @staticmethod
    def from_dict(bed: dict[str, Any]) -> Bed: ...
    @staticmethod
    def example() -> Bed: ...
    @property
    def name(self) -> str: ...
    @property
    def filled(self) -> date: ...
    @property
    def climate(self) -> str: ...
    @property
    def rim_m(self) -> float | None: ...
    @property
    def count(self) -> int: ...
    @property
    def layers(self) -> list[str]: ...
    @property
    def notices(self) -> list[dict[str, Any]]: ...
    def with_reading(
        self,
        on: str | date,
        *,
        height_m: float | None = None,
        below_rim_m: float | None = None,
        give_or_take_m: float | None = None,
        note: str | None = None,
    ) -> Bed: ...
    def as_filled(self) -> Bed: ...
    def forecast(
        self,
        months: SupportsIndex = 12,
        draws: SupportsIndex = 64,
        seed: SupportsIndex = 1,
        *,
        deeper_than_m: float | None = None,
        progress: _Progress | None = None,
        threads: SupportsIndex | None = None,
    ) -> Forecast: ...
    def realisations(
        self,
        months: SupportsIndex = 12,
        draws: SupportsIndex = 64,
        seed: SupportsIndex = 1,
        *,
        column: str = "height_m",
        progress: _Progress | None = None,
        threads: SupportsIndex | None = None,
    ) -> _Floats: ...
    def top_ups(
        self,
        material: str,
        *,
        pack: str = "bag",
        pack_litres: float = 40.0,
        price: float | None = None,
        delivery: float = 0.0,
        lead_days: SupportsIndex = 0,
        in_months: Sequence[SupportsIndex] | None = None,
        below_rim_m: float | None = None,
        soil_depth_m: float | None = None,
        at_most_m: float | None = None,
        yearly_budget: float | None = None,
        months: SupportsIndex = 12,
        draws: SupportsIndex = 64,
        seed: SupportsIndex = 1,
        progress: _Progress | None = None,
        threads: SupportsIndex | None = None,
    ) -> dict[str, Any]: ...
    def fit(
        self,
        months: SupportsIndex | None = None,
        draws: SupportsIndex | None = None,
        seed: SupportsIndex = 1,
        *,
        progress: _Progress | None = None,
        threads: SupportsIndex | None = None,
    ) -> dict[str, Any]: ...
    def ledger(
        self,
        months: SupportsIndex = 12,
        draws: SupportsIndex = 64,
        seed: SupportsIndex = 1,
        *,
        progress: _Progress | None = None,
        threads: SupportsIndex | None = None,
    ) -> dict[str, Any]: ...
    def sensitivity(
        self,
        months: SupportsIndex = 12,
        rows: SupportsIndex = 64,
        seed: SupportsIndex = 1,
        *,
        progress: _Progress | None = None,
        threads: SupportsIndex | None = None,
    ) -> dict[str, Any]: ...
    def chart(
        self,
        kind: str = "section",
        forecast: Forecast | None = None,
        *,
        width: SupportsIndex = 800,
        months: SupportsIndex = 12,
        draws: SupportsIndex = 64,
        seed: SupportsIndex = 1,
        progress: _Progress | None = None,
        threads: SupportsIndex | None = None,
    ) -> Chart: ...

@final
class Forecast:
    @staticmethod
    def from_json(text: str) -> Forecast: ...
    @property
    def name(self) -> str: ...
    @property
    def filled(self) -> date: ...
    @property
    def climate(self) -> str: ...
    @property
    def rim_m(self) -> float | None: ...
    @property
    def draws(self) -> int: ...
    @property
    def seed(self) -> int | None: ...
    @property
    def layers(self) -> list[str]: ...
    @property
    def notices(self) -> list[dict[str, Any]]: ...
    @property
    def summary(self) -> str: ...
    @property
    def months(self) -> dict[str, NDArray[Any]]: ...
    # A pandas.DataFrame; typed loosely, since pandas need not be there.
    def to_pandas(self) -> Any: ...
    def to_dict(self) -> dict[str, Any]: ...
    def to_json(self) -> str: ...

@final
class Chart:
    @property
    def svg(self) -> str: ...
    def _repr_svg_(self) -> str: ...
    def save(self, path: str | PathLike[str]) -> None: ...

def _restored_bed(form: str, text: str, as_filled: bool, readings: Sequence[Any]) -> Bed: ...
def columns() -> list[str]: ...
def compare(
    beds: Iterable[Bed | dict[str, Any]],
    months: SupportsIndex = 12,
    draws: SupportsIndex = 64,
    seed: SupportsIndex = 1,
    *,
    progress: _Progress | None = None,
    threads: SupportsIndex | None = None,
) -> dict[str, Any]: ...
def forecast_many(
    beds: Iterable[Bed | dict[str, Any]],
    months: SupportsIndex = 12,
    *,
    columns: Sequence[str] = ["height_m"],
    progress: _Progress | None = None,
    threads: SupportsIndex | None = None,
) -> dict[str, _Floats]: ...
def bands_many(
    beds: Iterable[Bed | dict[str, Any]],
    months: SupportsIndex = 12,
    draws: SupportsIndex = 64,
    seed: SupportsIndex | Sequence[SupportsIndex] = 1,
    *,
    column: str = "height_m",
    progress: _Progress | None = None,
    threads: SupportsIndex | None = None,
) -> _Floats: ...
