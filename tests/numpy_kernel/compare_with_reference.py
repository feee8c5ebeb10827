#!/usr/bin/env python3
"""Runs a case of the kernel in NumPy and holds every array against the scalar reference's.

Usage: compare_with_reference.py WRITE_CASE SCENARIO. Differences are relative to the larger of the pool's value and the
quantity's mean over the pools; they grow from the rounding of another order of operations.
"""
import json
import subprocess
import sys

import numpy as np

from pool_hour import GROUPS, Pools, weather_of

BOUND = 1e-9


def arrays_of(pools):
    return {f"{group}.{name}": getattr(getattr(pools, group), name) for group in GROUPS for name in pools.names[group]}


def run(case):
    """The arrays after the case's hours, and the names of those that any hour changed."""
    pools = Pools(case)
    arrays = arrays_of(pools)
    start = {name: values.copy() for name, values in arrays.items()}
    moved = set()
    for hour, weather in enumerate(weather_of(case)):
        if hour % 24 == 0:
            pools.start_day()
        pools.advance(weather)
        moved |= {name for name in arrays.keys() - moved if not np.array_equal(arrays[name], start[name])}
    return arrays, moved


def largest_difference(mine, theirs):
    """Over all arrays, with the name of the array."""
    worst, where = 0.0, ""
    for name, expected in theirs.items():
        if not np.all(np.isfinite(mine[name])):
            return np.inf, name
        size = np.maximum(np.maximum(np.abs(expected), np.mean(np.abs(expected))), 1e-12)
        difference = float(np.max(np.abs(mine[name] - expected) / size))
        if difference > worst:
            worst, where = difference, name
    return worst, where


def main():
    program, scenario = sys.argv[1:]
    status = 0
    moved_ever = set()
    for title, options in (("summer", ["90", "40", "0"]), ("hard frost", ["0", "40", "-24"])):
        text = subprocess.run([program, scenario, "96", *options], check=True, capture_output=True, text=True).stdout
        case = json.loads(text)
        mine, moved = run(case)
        worst, where = largest_difference(mine, arrays_of(Pools(case, "after")))
        moved_ever |= moved
        print(f"{title}: {len(case['hours']['time_s'])} hours of 96 pools, {len(moved)} arrays moved: "
              f"largest difference {worst:.2e}, in {where}")
        if not worst < BOUND:
            print(f"  more than {BOUND}")
            status = 1
    untouched = {name for name in mine if name.startswith("state.")} - moved_ever
    if untouched:
        print("the cases leave untouched:", *sorted(untouched))
        status = 1
    sys.exit(status)


if __name__ == "__main__":
    main()
