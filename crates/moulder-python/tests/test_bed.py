"""Beds from files and dicts, and every fault of them."""

from __future__ import annotations

import datetime
import json
import pickle

import moulder
import numpy as np
import pytest
from conftest import BEDS, document


def test_a_dict_takes_hyphens_and_underscores() -> None:
    reading = {"on": "2026-06-01", "below-rim": "10 cm", "give-or-take": "1 cm"}
    hyphens = moulder.Bed.from_dict(document(reading=[reading]))
    underscored = {name.replace("-", "_"): value for name, value in reading.items()}
    assert moulder.Bed.from_dict(document(reading=[underscored])) == hyphens


def test_names_of_measures_stay_as_they_are() -> None:
    bed = document(measures={"my_barrow": "80 L"})
    bed["layer"][0]["put"] = [{"material": "woody prunings", "amount": "9 my_barrow"}]
    assert moulder.Bed.from_dict(bed).layers


def test_values_of_numpy_and_dates_are_taken() -> None:
    given = document(filled=datetime.date(2026, 3, 14), format=np.int64(1), count=np.int32(3))
    bed = moulder.Bed.from_dict(given)
    assert bed.filled == datetime.date(2026, 3, 14)
    assert bed.count == 3


def test_all_faults_come_at_once() -> None:
    given = document(climate="Camebridge UK", cuont=2)
    given["layer"][0]["put"][0]["material"] = "brich log"
    given["layer"][1]["put"][0]["amount"] = float("nan")
    with pytest.raises(moulder.BedError) as refused:
        moulder.Bed.from_dict(given)
    faults = {fault["code"]: fault for fault in refused.value.faults}
    assert set(faults) == {"wrong-kind", "unknown-climate", "unknown-field", "unknown-material"}
    assert faults["wrong-kind"]["path"] == "/layer/1/put/0/amount"
    assert faults["wrong-kind"]["found"] == "the number NaN"
    assert "birch log" in faults["unknown-material"]["help"]
    assert all(fault["message"] for fault in refused.value.faults)
    again = pickle.loads(pickle.dumps(refused.value))
    assert (str(again), again.faults) == (str(refused.value), refused.value.faults)


def test_faults_of_a_text_have_lines() -> None:
    with pytest.raises(moulder.BedError) as refused:
        moulder.Bed.from_toml("format = 1\nfilled = 3\n")
    assert {"line": 2, "column": 10} in [fault["place"] for fault in refused.value.faults]


@pytest.mark.parametrize("given", [None, 3, "format = 1", [], object(), b"x"])
def test_what_is_no_dict_is_a_type_error(given: object) -> None:
    with pytest.raises(TypeError, match="a bed is a dict here"):
        moulder.Bed.from_dict(given)  # type: ignore[arg-type]


@pytest.mark.parametrize("given", [None, 3, b"format = 1", {}])
def test_what_is_no_text_is_a_type_error(given: object) -> None:
    for read in (moulder.Bed.from_toml, moulder.Bed.from_json):
        with pytest.raises(TypeError):
            read(given)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "value",
    [
        object(), {1, 2}, b"x", float("inf"), np.nan, 10**400, "\ud800", {3: 4}, [[]] * 3,
        np.zeros(3),
    ],
)
def test_values_of_a_wrong_kind_are_faults(value: object) -> None:
    for at in ("name", "layer", "bed", "fed", "measures"):
        with pytest.raises(moulder.BedError) as refused:
            moulder.Bed.from_dict({**document(), at: value})
        assert any(fault["path"].startswith(f"/{at}") for fault in refused.value.faults)


def test_a_dict_without_end_is_refused() -> None:
    given = document()
    given["layer"][0]["put"] = given["layer"]
    wide = [0] * 1_000_000
    for endless in (given, document(layer_more=wide), document(fed=[wide] * 1000)):
        with pytest.raises(moulder.BedError):
            moulder.Bed.from_dict(endless)


def test_a_name_given_twice_is_a_fault() -> None:
    water = {"from": 4, "per-week": "10 L", "per_week": "20 L"}
    with pytest.raises(moulder.BedError) as refused:
        moulder.Bed.from_dict(document(water=water))
    assert "repeated-key" in {fault["code"] for fault in refused.value.faults}


def test_beds_pickle(bed: moulder.Bed) -> None:
    text = (BEDS / "log-box.toml").read_text()
    beds = [
        bed,
        moulder.Bed.from_toml(text),
        moulder.Bed.from_json(json.dumps(document())),
        moulder.Bed.from_dict(document()),
        bed.with_reading("2026-09-14", below_rim_m=0.1, give_or_take_m=0.02, note="wet"),
        moulder.Bed.from_toml((BEDS / "measured-bag.toml").read_text()).as_filled(),
    ]
    for one in beds:
        again = pickle.loads(pickle.dumps(one))
        assert again == one
        assert repr(again) == repr(one)


def test_a_reading_is_taken_or_refused(bed: moulder.Bed) -> None:
    by_text = bed.with_reading("2026-09-14", below_rim_m=0.10)
    assert by_text == bed.with_reading(datetime.date(2026, 9, 14), below_rim_m=0.10)
    assert by_text != bed
    assert by_text.as_filled() == bed
    for wrong in (float("nan"), float("inf"), -1e300, 1e9):
        with pytest.raises(moulder.BedError):
            bed.with_reading("2026-09-14", height_m=wrong)
    with pytest.raises(moulder.BedError):
        bed.with_reading("2025-09-14", height_m=0.3)
    with pytest.raises(ValueError, match="either height_m or below_rim_m"):
        bed.with_reading("2026-09-14")
    with pytest.raises(ValueError, match="no day of the calendar"):
        bed.with_reading("2026-02-30", height_m=0.3)
    with pytest.raises(TypeError, match="a text or a date"):
        bed.with_reading(20260914, height_m=0.3)  # type: ignore[arg-type]
