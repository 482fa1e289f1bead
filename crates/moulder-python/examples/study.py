"""One bed, then a study of many: how deep do fills of more and less wood sink in a year?

    python study.py [--beds 1000] [--months 12]

Writes no file. Says how many beds it does in a second, and what a second thread and a second
process bring.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import moulder
import numpy as np
from numpy.typing import NDArray


def bed_of(logs_cm: float, across_cm: float) -> moulder.Bed:
    """A box of logs, brush and soil."""
    return moulder.Bed.from_dict(
        {
            "format": 1,
            "name": f"{logs_cm:.1f} cm of logs {across_cm:.1f} cm thick",
            "filled": "2026-03-14",
            "climate": "Cambridge UK",
            "bed": {"shape": "box", "width": "1.2 m", "length": "2.4 m", "rim": "75 cm"},
            "layer": [
                {
                    "put": [
                        {
                            "material": "birch log",
                            "amount": f"{logs_cm:.2f} cm",
                            "across": f"{across_cm:.2f} cm",
                        }
                    ]
                },
                {"put": [{"material": "woody prunings", "amount": "15 cm"}]},
                {"grows": True, "put": [{"material": "loamy topsoil", "amount": "20 cm"}]},
            ],
        }
    )


def progress(done: int, of: int) -> None:
    print(f"\r{done} of {of}", end="" if done < of else "\n", file=sys.stderr, flush=True)


def sunk_m(beds: list[moulder.Bed], months: int, threads: int | None = None) -> NDArray[np.float64]:
    """What each has sunk by the last month."""
    columns = moulder.forecast_many(
        beds, months=months, columns=["settlement_m"], threads=threads, progress=None
    )
    return columns["settlement_m"][:, -1]


def sunk_in_one_thread(beds: list[moulder.Bed], months: int) -> NDArray[np.float64]:
    return sunk_m(beds, months, threads=1)


def seconds(run: Callable[[], object]) -> float:
    begin = time.perf_counter()
    run()
    return time.perf_counter() - begin


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--beds", type=int, default=1000)
    asked.add_argument("--months", type=int, default=12)
    options = asked.parse_args()

    one = bed_of(30.0, 12.0)
    forecast = one.forecast(months=options.months, draws=64)
    print(forecast.summary)

    logs_cm = np.linspace(5.0, 40.0, options.beds)
    across_cm = np.random.default_rng(1).uniform(5.0, 25.0, options.beds)
    begin = time.perf_counter()
    beds = [bed_of(*each) for each in zip(logs_cm, across_cm, strict=True)]
    reading_s = time.perf_counter() - begin

    begin = time.perf_counter()
    arrays = moulder.forecast_many(
        beds, months=options.months, columns=["settlement_m", "height_m"], progress=progress
    )
    run_s = time.perf_counter() - begin
    sunk_cm = arrays["settlement_m"][:, -1] * 100.0
    slope = np.polyfit(logs_cm, sunk_cm, 1)[0]
    print(
        f"{options.beds} beds sink {sunk_cm.min():.1f} to {sunk_cm.max():.1f} cm in "
        f"{options.months} months, {slope * 10.0:.2f} cm more for every 10 cm of logs"
    )
    print(
        f"read in {reading_s / options.beds * 1e3:.2f} ms each, run at "
        f"{options.beds / run_s:.0f} beds a second"
    )

    few = beds[: max(2, min(len(beds), 200))]
    sunk_m(few, options.months)
    alone_s = seconds(lambda: sunk_m(few, options.months, threads=1))
    two_s = seconds(lambda: sunk_m(few, options.months, threads=2))
    halves = [few[: len(few) // 2], few[len(few) // 2 :]]
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as processes:
        # Begin them first: what counts is a long study.
        list(processes.map(sunk_in_one_thread, [few[:1]] * 4, [1] * 4))
        apart_s = seconds(
            lambda: list(processes.map(sunk_in_one_thread, halves, [options.months] * 2))
        )
    print(
        f"{len(few)} beds: one thread {alone_s:.2f} s, two threads {two_s:.2f} s "
        f"({alone_s / two_s:.2f} times as fast), two processes {apart_s:.2f} s "
        f"({alone_s / apart_s:.2f} times)"
    )


if __name__ == "__main__":
    main()
