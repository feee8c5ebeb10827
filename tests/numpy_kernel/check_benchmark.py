#!/usr/bin/env python3
"""The benchmark's JSON is clean and complete. Usage: check_benchmark.py BENCH_KERNEL. What it measures is not judged here."""
import json
import subprocess
import sys


def main():
    run = subprocess.run([sys.argv[1], "--format", "json", "--largest", "1000"], capture_output=True, text=True, check=False)
    faults = [] if run.returncode in (0, 1) else [f"exit code {run.returncode}: {run.stderr}"]
    result = json.loads(run.stdout)
    per_hour = result["ns_per_pool_hour"]
    faults += [f"ns_per_pool_hour.{name} is {per_hour.get(name)}" for name in ("numpy", "scalar", "vector", "limit")
               if not isinstance(per_hour.get(name), float) or not per_hour[name] > 0.0]
    if not faults and not per_hour["vector"] < per_hour["scalar"]:
        faults.append(f"the vector build is slower than the scalar form: {per_hour}")
    for share in ("share_of_time", "share_of_limit"):
        total = sum(part[share] for part in result["phenomena"])
        if abs(total - 1.0) > 1e-6:
            faults.append(f"the phenomena's {share} sum to {total}")
    wrong = subprocess.run([sys.argv[1], "--format", "verse"], capture_output=True, text=True, check=False)
    if wrong.returncode != 2 or wrong.stdout or "--format" not in wrong.stderr:
        faults.append("a wrong --format is not refused with one clear line")
    print(*(faults or [f"clean: {per_hour}"]), sep="\n")
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
