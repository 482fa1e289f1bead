"""Many beds at once."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from typing import Any

import moulder
import numpy as np
import pytest
from conftest import document


def thickness(count: int) -> list[moulder.Bed]:
    return [moulder.Bed.from_dict(document(f"{10 + at} cm")) for at in range(count)]


def test_many_nominal_runs_are_the_single_ones() -> None:
    beds = thickness(3)
    told: list[tuple[int, int]] = []
    arrays = moulder.forecast_many(
        [beds[0], document("11 cm"), beds[2]],
        months=2,
        columns=["height_m", "carbon_kg"],
        progress=lambda done, of: told.append((done, of)),
    )
    assert told[-1] == (3, 3)
    for name in ("height_m", "carbon_kg"):
        single = [bed.forecast(months=2, draws=0).months[name] for bed in beds]
        assert arrays[name].tolist() == np.array(single).tolist()
    one = moulder.forecast_many(iter(beds), months=2, threads=1)
    assert one["height_m"].tobytes() == arrays["height_m"].tobytes()


def test_bands_are_the_single_ones_with_seeds_of_their_own() -> None:
    beds = thickness(2)
    bands = moulder.bands_many(beds, months=2, draws=4, seed=[5, 6], column="settlement_m")
    assert bands.shape == (2, 3, 3)
    for bed, seed, band in zip(beds, (5, 6), bands, strict=True):
        months = bed.forecast(months=2, draws=4, seed=seed).months
        assert band[:, 0].tolist() == months["settlement_m_lower"].tolist()
        assert band[:, 1].tolist() == pytest.approx(months["settlement_m"].tolist())
        assert band[:, 2].tolist() == months["settlement_m_upper"].tolist()
    swapped = moulder.bands_many(beds[::-1], months=2, draws=4, seed=[6, 5], column="settlement_m")
    assert swapped[::-1].tobytes() == bands.tobytes()


def test_every_fault_of_many_says_of_which_bed() -> None:
    given = [document("10 cm")] * 98 + [document("10 m of"), {"format": 2}]
    faulty = [{**document(), "climate": at} for at in range(10_000)]
    every: list[Callable[[Any], Any]] = [
        moulder.forecast_many,
        moulder.bands_many,
        moulder.compare,
    ]
    for runs in every:
        with pytest.raises(moulder.BedError, match=r"beds\[98\]") as refused:
            runs(given)
        assert {fault["bed"] for fault in refused.value.faults} == {98, 99}
    with pytest.raises(moulder.BedError, match="and 9990 more") as refused:
        moulder.forecast_many(faulty)
    assert [fault["bed"] for fault in refused.value.faults] == list(range(10_000))


def test_a_mound_without_room_says_which_it_is() -> None:
    mound = document()
    mound["bed"] = {"shape": "mound", "width": "1.2 m", "length": "2.4 m"}
    mound["layer"] = [{"put": [{"material": "loamy topsoil", "amount": "9 m3"}]}]
    with pytest.raises(moulder.BedError) as refused:
        moulder.forecast_many([document(), mound], months=1)
    assert refused.value.code == "no-room"
    assert "bed 2" in str(refused.value) or "beds[1]" in str(refused.value)


@pytest.mark.parametrize("runs", [moulder.forecast_many, moulder.bands_many, moulder.compare])
def test_what_is_no_list_of_beds_is_refused(runs: Callable[[Any], Any], bed: moulder.Bed) -> None:
    no_lists: list[Any] = [None, 3, bed]
    no_beds: list[Any] = [["x"], "x", [bed, None], {"format": 1}]
    empty: list[Any] = [[], (), iter([])]
    for wrong in no_lists:
        with pytest.raises(TypeError, match="beds must be a list"):
            runs(wrong)
    for wrong in no_beds:
        with pytest.raises(TypeError, match=r"beds\[\d\] must be a Bed or a dict"):
            runs(wrong)
    for wrong in empty:
        with pytest.raises(ValueError, match="no beds"):
            runs(wrong)


def test_seeds_and_columns_are_checked(bed: moulder.Bed) -> None:
    with pytest.raises(ValueError, match="2 beds, and 1 seeds"):
        moulder.bands_many([bed, bed], seed=[1])
    with pytest.raises(ValueError, match="1 at least"):
        moulder.bands_many([bed], draws=0)
    for wrong in ("x", [1, 2.5], 1.5):
        with pytest.raises(TypeError, match="seed must be a whole number"):
            moulder.bands_many([bed], seed=wrong)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="seed must be 0 or more"):
        moulder.bands_many([bed], seed=-1)
    with pytest.raises(ValueError, match="1 at least"):
        moulder.compare([bed], draws=0)
    with pytest.raises(ValueError, match="no column is called"):
        moulder.bands_many([bed], column="heigth_m")
    with pytest.raises(ValueError, match="name a column"):
        moulder.forecast_many([bed], columns=[])


def height_of(bed: moulder.Bed) -> bytes:
    return moulder.forecast_many([bed], months=1)["height_m"].tobytes()


@pytest.mark.parametrize("way", ["fork", "spawn"])
def test_other_processes_give_the_same(way: str, bed: moulder.Bed) -> None:
    """A fork after a forecast does not hang: threads of the parent are not there."""
    here = height_of(bed)
    context = multiprocessing.get_context(way)
    with context.Pool(1) as pool:
        assert pool.apply_async(height_of, (bed,)).get(timeout=60) == here
    assert height_of(bed) == here
