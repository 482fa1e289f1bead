"""Forecasts: the command's bytes, arrays, other answers, drawings."""

from __future__ import annotations

import json
import os
import pickle
import subprocess
from pathlib import Path
from typing import Any

import moulder
import numpy as np
import pytest
from conftest import BEDS


@pytest.mark.parametrize("name", ["bulk-bag", "log-box"])
@pytest.mark.parametrize(("months", "draws", "seed"), [(7, 5, 3), (12, 0, 1)])
def test_json_is_what_the_command_prints(name: str, months: int, draws: int, seed: int) -> None:
    file = BEDS / f"{name}.toml"
    asked = ["--months", str(months), "--draws", str(draws), "--seed", str(seed), "--json"]
    # MOULDER_BIN is the command; there is nothing to compare with without it.
    command = [os.environ["MOULDER_BIN"], "forecast", str(file), *asked]
    printed = subprocess.run(command, check=True, capture_output=True).stdout
    forecast = moulder.Bed.from_toml(file.read_text()).forecast(months, draws, seed)
    assert forecast.to_json().encode() == printed
    assert forecast.to_dict() == json.loads(printed)


def test_months_are_arrays(forecast: moulder.Forecast) -> None:
    months = forecast.months
    assert months["month"].tolist() == [0, 1, 2, 3]
    assert months["date"].astype(str).tolist()[:2] == ["2026-03-14", "2026-04-14"]
    told = forecast.to_dict()
    for at, (row, bands) in enumerate(zip(told["months"], told["intervals"], strict=True)):
        assert months["height_m"][at] == row["height_m"]
        assert months["wood_decay_m"][at] == row["parts"]["wood_decay_m"]
        assert months["height_m_lower"][at] == bands["height_m"]["lower"]
        assert months["below_rim_m_upper"][at] == bands["below_rim_m"]["upper"]
    assert set(moulder.columns()) <= set(months)


def test_the_nominal_run_has_no_intervals(bed: moulder.Bed) -> None:
    forecast = bed.forecast(months=2, draws=0)
    assert forecast.seed is None
    assert "height_m_lower" not in forecast.months
    assert "one run" in forecast.summary.lower() or forecast.summary


def test_pandas_takes_the_months(forecast: moulder.Forecast) -> None:
    frame = forecast.to_pandas()
    assert frame.index.name == "date"
    assert frame["height_m"].to_numpy().tolist() == forecast.months["height_m"].tolist()


def test_forecasts_pickle(forecast: moulder.Forecast) -> None:
    again = pickle.loads(pickle.dumps(forecast))
    assert again == forecast
    assert again.to_json() == forecast.to_json()
    assert moulder.Forecast.from_json(forecast.to_json()) == forecast
    with pytest.raises(ValueError, match="no forecast"):
        moulder.Forecast.from_json("{}")


def test_any_number_of_threads_gives_the_same(bed: moulder.Bed, forecast: moulder.Forecast) -> None:
    for threads in (1, 2, 3):
        assert bed.forecast(months=3, draws=8, threads=threads) == forecast


def test_progress_is_told_in_the_calling_thread(bed: moulder.Bed) -> None:
    told: list[tuple[int, int]] = []
    bed.forecast(months=3, draws=8, progress=lambda done, of: told.append((done, of)))
    assert told[-1] == (8, 8)
    assert told == sorted(told)


def test_what_progress_raises_stops_the_run(bed: moulder.Bed) -> None:
    def tired(_done: int, _of: int) -> None:
        raise RuntimeError("enough")

    with pytest.raises(RuntimeError, match="enough"):
        bed.forecast(months=1200, draws=60_000, progress=tired)
    assert bed.forecast(months=1, draws=2)


def test_chances_are_told(bed: moulder.Bed) -> None:
    chances = bed.forecast(months=2, draws=8, deeper_than_m=0.05).months["chance_deeper"]
    assert chances.shape == (3,)
    assert np.all((chances >= 0.0) & (chances <= 1.0))


def test_realisations_are_those_behind_the_interval(bed: moulder.Bed) -> None:
    heights_m = bed.realisations(months=6, draws=200)
    assert heights_m.shape == (200, 7)
    months = bed.forecast(months=6, draws=200).months
    assert abs(heights_m[:, 6].mean() - months["height_m"][6]) < 2e-3
    width_m = months["height_m_upper"][6] - months["height_m_lower"][6]
    ends_m = np.quantile(heights_m[:, 6], [0.1, 0.9])
    assert abs(ends_m[0] - months["height_m_lower"][6]) < 0.15 * width_m
    assert abs(ends_m[1] - months["height_m_upper"][6]) < 0.15 * width_m
    carbon_kg = bed.realisations(months=6, draws=200, column="carbon_kg")
    assert carbon_kg[:, 6].mean() == pytest.approx(months["carbon_kg"][6], rel=1e-12)


def test_realisations_go_on_from_readings(bed: moulder.Bed) -> None:
    seen_m = float(bed.forecast(months=3, draws=0).months["height_m"][3]) - 0.02
    measured = bed.with_reading("2026-06-14", height_m=seen_m, give_or_take_m=0.002)
    heights_m = measured.realisations(months=4, draws=64)
    assert heights_m.shape == (64, 5)
    assert abs(heights_m[:, 3].mean() - seen_m) < 0.01


def test_a_fit_tells_before_and_after(bed: moulder.Bed) -> None:
    fit = bed.with_reading("2026-05-14", below_rim_m=0.12).fit(months=3, draws=100)
    assert len(fit["months"]) == 4
    with pytest.raises(moulder.BedError, match="no tape reading"):
        bed.fit()


def test_top_ups_are_told(bed: moulder.Bed) -> None:
    plan = bed.top_ups("loamy topsoil", price=4.5, months=13, draws=4)
    assert plan["material"] == "loamy topsoil"
    assert plan["top_ups"][0]["bought"] > 0
    when: dict[str, Any] = {"in_months": [3, 9], "below_rim_m": 0.05, "soil_depth_m": 0.2}
    for trigger in ({word: value} for word, value in when.items()):
        assert bed.top_ups("loamy topsoil", months=2, draws=0, **trigger)["trigger"]
    with pytest.raises(ValueError, match="give one of"):
        bed.top_ups("loamy topsoil", in_months=[3], below_rim_m=0.05)
    with pytest.raises(moulder.BedError) as refused:
        bed.top_ups("loamy topsoil", pack_litres=float("nan"), price=-1.0, in_months=[13])
    paths = [fault["path"] for fault in refused.value.faults]
    assert paths == ["/trigger", "/package/volume_m3", "/package/price"]
    with pytest.raises(moulder.BedError, match="loamy topsoil"):
        bed.top_ups("loamy topsoyl")


def test_ledgers_unknowns_and_comparisons_are_told(bed: moulder.Bed) -> None:
    assert len(bed.ledger(months=12, draws=0)["rows"]) == 2
    assert bed.sensitivity(months=2, rows=8)["groups"]
    compared = moulder.compare([bed, bed], months=2, draws=4)
    assert compared["designs"][1]["less_the_first"]["settlement_m"]["mean"] == 0.0


def test_a_chart_is_drawn_and_saved(
    bed: moulder.Bed, forecast: moulder.Forecast, tmp_path: Path
) -> None:
    chart = bed.chart("section", forecast, width=640)
    assert chart.svg == chart._repr_svg_() == bed.chart("section", months=3, draws=8, width=640).svg
    chart.save(tmp_path / "bed.svg")
    assert (tmp_path / "bed.svg").read_text() == chart.svg
    with pytest.raises(ValueError, match=r"\.svg"):
        chart.save(tmp_path / "bed.png")
    with pytest.raises(OSError):
        chart.save(tmp_path / "none" / "bed.svg")
    with pytest.raises(ValueError, match="no chart is called"):
        bed.chart("pie")
    with pytest.raises(ValueError, match="320 to 4000"):
        bed.chart("section", forecast, width=10)
    with pytest.raises(ValueError, match="another bed"):
        other = moulder.Bed.from_toml((BEDS / "log-box.toml").read_text())
        other.chart("height", forecast)
