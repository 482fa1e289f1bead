"""Long runs: other threads go on, Ctrl-C stops them, nothing is leaked, nothing panics."""

from __future__ import annotations

import gc
import os
import signal
import threading
import time
import tracemalloc
from collections.abc import Callable
from typing import Any

import moulder
import numpy as np
import pytest
from conftest import document


def test_other_threads_of_python_go_on(bed: moulder.Bed) -> None:
    ticks = 0
    over = threading.Event()

    def tick() -> None:
        nonlocal ticks
        while not over.wait(0.005):
            ticks += 1

    ticking = threading.Thread(target=tick)
    ticking.start()
    begin = time.monotonic()
    try:
        while time.monotonic() - begin < 0.5:
            before = ticks
            bed.forecast(months=12, draws=8)
            assert ticks > before
    finally:
        over.set()
        ticking.join()


@pytest.mark.parametrize(
    "run",
    [
        lambda bed: bed.forecast(months=1200, draws=60_000),
        lambda bed: bed.realisations(months=1200, draws=60_000),
        lambda bed: bed.ledger(months=1200, draws=60_000),
        lambda bed: moulder.forecast_many([bed] * 100_000, months=1200),
        lambda bed: moulder.bands_many([bed] * 10, months=1200, draws=60_000),
        lambda bed: moulder.compare([bed] * 3, months=1200, draws=60_000),
    ],
)
def test_ctrl_c_stops_a_run(run: Callable[[moulder.Bed], object], bed: moulder.Bed) -> None:
    def press() -> None:
        time.sleep(0.3)
        os.kill(os.getpid(), signal.SIGINT)

    # A process that was begun in the background ignores the signal, and its children do.
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    pressing = threading.Thread(target=press)
    pressing.start()
    try:
        # To their end these runs take days.
        with pytest.raises(KeyboardInterrupt):
            run(bed)
    finally:
        pressing.join()
        signal.signal(signal.SIGINT, before)
    assert bed.forecast(months=1, draws=2).months["height_m"].shape == (2,)


HUGE = 10**12


@pytest.mark.parametrize("wrong", [-1, HUGE, -HUGE, 10**400, 1201])
def test_months_beyond_any_are_value_errors(wrong: int, bed: moulder.Bed) -> None:
    calls: list[Callable[[], object]] = [
        lambda: bed.forecast(months=wrong),
        lambda: bed.realisations(months=wrong),
        lambda: bed.ledger(months=wrong),
        lambda: bed.sensitivity(months=wrong),
        lambda: bed.top_ups("loamy topsoil", months=wrong),
        lambda: bed.chart(months=wrong),
        lambda: moulder.compare([bed], months=wrong),
        lambda: moulder.forecast_many([bed] * 3, months=wrong),
        lambda: moulder.bands_many([bed] * 3, months=wrong),
    ]
    for call in calls:
        with pytest.raises(ValueError, match="months"):
            call()


@pytest.mark.parametrize("wrong", [-1, HUGE, 65_537])
def test_draws_beyond_any_are_value_errors(wrong: int, bed: moulder.Bed) -> None:
    calls: list[Callable[[], object]] = [
        lambda: bed.forecast(draws=wrong),
        lambda: bed.realisations(draws=wrong),
        lambda: bed.with_reading("2026-05-14", below_rim_m=0.1).realisations(draws=wrong),
        lambda: bed.ledger(draws=wrong),
        lambda: moulder.compare([bed], draws=wrong),
        lambda: moulder.bands_many([bed], draws=wrong),
    ]
    for call in calls:
        with pytest.raises(ValueError):
            call()


@pytest.mark.parametrize("wrong", [1.5, "12", None, [], float("nan"), np.zeros(2)])
def test_what_is_no_whole_number_is_a_type_error(wrong: Any, bed: moulder.Bed) -> None:
    for name in ("months", "draws", "seed"):
        with pytest.raises(TypeError, match=f"{name} must be a whole number"):
            bed.forecast(**{name: wrong})


def test_other_arguments_are_checked(bed: moulder.Bed) -> None:
    for threads in (0, -1, 513, HUGE):
        with pytest.raises(ValueError, match="threads"):
            bed.forecast(threads=threads)
    for seed in (-1, 2**64):
        with pytest.raises(ValueError, match="seed"):
            bed.forecast(seed=seed)
    with pytest.raises(TypeError, match="progress must be a function"):
        bed.forecast(progress=3)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="deeper_than_m"):
        bed.forecast(deeper_than_m=float("nan"))
    with pytest.raises(ValueError, match="draws|beds"):
        bed.realisations(draws=0)
    assert bed.forecast(months=np.int64(1), draws=np.int8(0)).draws == 0


def test_nothing_is_leaked(bed: moulder.Bed) -> None:
    faulty = document(climate=3, name=float("nan"))

    def all_of_it() -> None:
        bed.forecast(months=1, draws=0, progress=lambda _done, _of: None).to_dict()
        moulder.forecast_many([document()], months=1)
        for refused in (
            lambda: moulder.Bed.from_dict(faulty),
            lambda: moulder.forecast_many([faulty] * 20),
            lambda: bed.forecast(months=HUGE),
        ):
            with pytest.raises(ValueError):
                refused()

    all_of_it()
    tracemalloc.start()
    gc.collect()
    before, _ = tracemalloc.get_traced_memory()
    for _ in range(20):
        all_of_it()
    gc.collect()
    after, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert after - before < 20_000, "bytes after twenty times the same"


def test_the_process_does_not_grow(bed: moulder.Bed) -> None:
    """What Rust holds is not traced: resident memory is looked at instead."""

    def resident_kb() -> int:
        with open("/proc/self/status", encoding="utf-8") as status:
            line = next(line for line in status if line.startswith("VmRSS"))
        return int(line.split()[1])

    def twenty_times() -> None:
        for _ in range(20):
            bed.forecast(months=2, draws=4).to_json()
            bed.realisations(months=2, draws=4)

    twenty_times()
    before = resident_kb()
    twenty_times()
    twenty_times()
    assert resident_kb() - before < 8_000
