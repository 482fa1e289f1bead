"""Ranges of many beds on many machines, with Dask: here a local cluster of some processes.

    python cluster.py [--beds 300] [--processes 2] [--draws 8] [--check]

A bed is its number: the number gives its fill and its seed, so that any split of the beds over
machines gives the same figures. `--check` compares with the plain loop, and with another split,
byte for byte. Point `Client` at a scheduler of your own for more machines.
"""

from __future__ import annotations

import argparse
import os
import time
from typing import Any

# A worker has one thread: its machine is filled by as many workers as it has cores.
os.environ.setdefault("RAYON_NUM_THREADS", "1")

import dask.bag
import moulder
import numpy as np
from dask.distributed import Client, LocalCluster
from numpy.typing import NDArray

MILLION = 1_000_000


def document_of(number: int) -> dict[str, Any]:
    """The bed of a number."""
    draw = np.random.default_rng(number)
    logs_cm, soil_cm = draw.uniform(5.0, 40.0), draw.uniform(15.0, 30.0)
    return {
        "format": 1,
        "name": f"bed {number}",
        "filled": "2026-03-14",
        "climate": str(draw.choice(["Cambridge UK", "Lowestoft UK"])),
        "bed": {"shape": "box", "width": "1.2 m", "length": "2.4 m", "rim": "75 cm"},
        "layer": [
            {"put": [{"material": "birch log", "amount": f"{logs_cm:.2f} cm"}]},
            {"grows": True, "put": [{"material": "loamy topsoil", "amount": f"{soil_cm:.2f} cm"}]},
        ],
    }


def bands_of(numbers: list[int], months: int, draws: int) -> NDArray[np.float64]:
    """Lower end, mean and upper end of the height of those beds by month."""
    beds = [document_of(number) for number in numbers]
    return moulder.bands_many(beds, months=months, draws=draws, seed=numbers)


def on_the_cluster(options: argparse.Namespace, partitions: int) -> NDArray[np.float64]:
    """All beds, in so many parts."""
    numbers = dask.bag.from_sequence(range(options.beds), npartitions=partitions)
    parts = numbers.map_partitions(
        lambda part: [bands_of(list(part), options.months, options.draws)]
    )
    return np.concatenate(parts.compute())


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--beds", type=int, default=300)
    asked.add_argument("--months", type=int, default=12)
    asked.add_argument("--draws", type=int, default=8)
    asked.add_argument("--processes", type=int, default=2)
    asked.add_argument("--check", action="store_true")
    options = asked.parse_args()

    with (
        LocalCluster(
            n_workers=options.processes, threads_per_worker=1, dashboard_address=None
        ) as cluster,
        Client(cluster),
    ):
        begin = time.perf_counter()
        bands = on_the_cluster(options, 8 * options.processes)
        took_s = time.perf_counter() - begin
        print(
            f"{options.beds} beds, {options.months} months, {options.draws} draws, "
            f"{options.processes} processes: {options.beds / took_s:.1f} beds a second; "
            f"a million take {MILLION * took_s / options.beds / 3600.0:.1f} hours"
        )
        if options.check:
            other = on_the_cluster(options, 3)
            assert other.tobytes() == bands.tobytes(), "another split gives other figures"
    if options.check:
        begin = time.perf_counter()
        loop = bands_of(list(range(options.beds)), options.months, options.draws)
        loop_s = time.perf_counter() - begin
        assert loop.tobytes() == bands.tobytes(), "the cluster gives other figures than a loop"
        print(
            f"the plain loop: {options.beds / loop_s:.1f} beds a second; the same "
            f"{bands.nbytes} bytes, in either split ({loop_s / took_s:.2f} times as fast)"
        )


if __name__ == "__main__":
    main()
