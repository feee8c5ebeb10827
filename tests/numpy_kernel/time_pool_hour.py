#!/usr/bin/env python3
"""Times the hourly step in NumPy on a case file: prints {"pools": nanoseconds per pool-hour, ...} as JSON.

Usage: time_pool_hour.py CASE POOLS... The quickest of some passes over the same hours, as processor time of this process.
"""
import json
import sys
import time

from pool_hour import Pools, weather_of

PASSES = 5
POOL_HOURS_PER_PASS = 40_000


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        case = json.load(file)
    weather = weather_of(case)[:24]
    result = {}
    for size in sys.argv[2:]:
        pools = Pools(case, pools=int(size))
        hours = weather[6 : 6 + max(4, min(18, POOL_HOURS_PER_PASS // pools.pools))]
        pools.advance(weather[5])  # touches all memory
        quickest = float("inf")
        for _ in range(PASSES):
            start = time.process_time_ns()
            for hour in hours:
                pools.advance(hour)
            quickest = min(quickest, (time.process_time_ns() - start) / len(hours) / pools.pools)
        result[size] = quickest
    print(json.dumps(result))


if __name__ == "__main__":
    main()
