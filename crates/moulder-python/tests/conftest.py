"""What the tests share."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import moulder
import pytest

ROOT = Path(__file__).resolve().parents[3]
BEDS = ROOT / "examples" / "beds"


def document(layer: str = "30 cm", **fields: Any) -> dict[str, Any]:
    """A small bed as a dict, with other fields on request."""
    return {
        "format": 1,
        "name": "Trial",
        "filled": "2026-03-14",
        "climate": "Cambridge UK",
        "bed": {"shape": "box", "width": "1.2 m", "length": "2.4 m", "rim": "60 cm"},
        "layer": [
            {"put": [{"material": "birch log", "amount": layer, "across": "12 cm"}]},
            {"put": [{"material": "loamy topsoil", "amount": "25 cm"}], "grows": True},
        ],
        **fields,
    }


@pytest.fixture(scope="session")
def bed() -> moulder.Bed:
    return moulder.Bed.example()


@pytest.fixture(scope="session")
def forecast(bed: moulder.Bed) -> moulder.Forecast:
    return bed.forecast(months=3, draws=8)
