"""check_ranks.py BRINECAST TOP WORK: brinecast run under mpirun gives the data of one process, tells each thing once, and
survives the death of ranks."""
import os
import pathlib
import random
import shutil
import signal
import subprocess
import sys
import time

import h5py

PROGRAM, TOP, WORK = sys.argv[1], pathlib.Path(sys.argv[2]), pathlib.Path(sys.argv[3])
SKIPPED = 77
ENVIRONMENT = {**os.environ, "OMPI_ALLOW_RUN_AS_ROOT": "1", "OMPI_ALLOW_RUN_AS_ROOT_CONFIRM": "1"}
SCENARIO = TOP / "scenarios" / "cells.toml"
SIZE = ("--policies", "never,on_inspection", "--replicates", "6")
# What says when, how fast and by which words a file was made.
OF_THE_MAKING = {"created", "command", "nanoseconds_per_pool_hour", "kernel_nanoseconds_per_pool_hour"}


def words_of(ranks, *words):
    return ["mpirun", "--oversubscribe", *words[:-1], "-n", str(ranks), PROGRAM, "run", *words[-1]]


def run(ranks, out, *words, scenario=SCENARIO, mpi_words=()):
    arguments = [str(scenario), "--out", str(out), "--threads", "1", *words]
    command = [PROGRAM, "run", *arguments] if ranks == 1 else words_of(ranks, *mpi_words, arguments)
    return subprocess.run(command, capture_output=True, text=True, timeout=300, env=ENVIRONMENT)


def assert_same(a, b):
    with h5py.File(a) as first, h5py.File(b) as second:
        names = []
        first.visititems(lambda name, item: names.append(name) if isinstance(item, h5py.Dataset) else None)
        assert names
        for name in names:
            x, y = first[name][()], second[name][()]
            same = x.tobytes() == y.tobytes() if getattr(x, "dtype", object) != object else (x == y).all()
            assert same, name
        for name in set(first.attrs) - OF_THE_MAKING:
            assert first.attrs[name] == second.attrs[name], name


def children_of(process):
    found = subprocess.run(["pgrep", "-P", str(process.pid)], capture_output=True, text=True).stdout.split()
    return [int(pid) for pid in found]


def kill_one_rank(out, seed, *mpi_words):
    """Starts three ranks and kills one that does not lead. Returns mpirun's exit code."""
    draw = random.Random(seed)
    arguments = [str(SCENARIO), "--out", str(out), "--threads", "1", *SIZE]
    process = subprocess.Popen(words_of(3, *mpi_words, arguments), env=ENVIRONMENT, stdout=subprocess.DEVNULL,
                               stderr=subprocess.PIPE, text=True)
    journal = pathlib.Path(f"{out}.partial")
    started = time.time()
    while not (journal.exists() and journal.stat().st_size > 0) and time.time() - started < 120:
        time.sleep(0.02)
    time.sleep(draw.uniform(0.0, 0.5))
    ranks = sorted(children_of(process))
    assert len(ranks) == 3, ranks
    os.kill(ranks[draw.choice([1, 2])], signal.SIGKILL)
    _, told = process.communicate(timeout=300)
    return process.returncode, told


def main():
    if shutil.which("mpirun") is None:
        print("SKIPPED: no mpirun here (Debian: openmpi-bin); ranks are not tested")
        return SKIPPED
    shutil.rmtree(WORK, ignore_errors=True)
    WORK.mkdir(parents=True)
    alone = WORK / "alone.h5"
    assert run(1, alone, *SIZE).returncode == 0

    for ranks in (2, 4):
        out = WORK / f"ranks-{ranks}.h5"
        done = run(ranks, out, *SIZE)
        assert done.returncode == 0, done.stderr
        assert done.stderr.count("results: ") == 1, done.stderr
        assert_same(alone, out)

    done = run(2, alone, *SIZE)
    assert done.returncode == 1 and done.stderr.count("is already there") == 1, done.stderr
    wrong = WORK / "wrong.toml"
    wrong.write_text(SCENARIO.read_text().replace("replicates", "replicate"))
    done = run(2, WORK / "wrong.h5", scenario=wrong)
    assert done.returncode == 1 and done.stderr.count("did you mean") == 1, done.stderr
    assert not list(WORK.glob("wrong.h5*"))

    # mpirun ends all ranks when one dies; what was finished is kept.
    out = WORK / "ended.h5"
    code, told = kill_one_rank(out, 1)
    assert code != 0, told
    assert not out.exists()
    done = run(2, out, *SIZE, "--resume")
    assert done.returncode == 0, done.stderr
    assert_same(alone, out)

    # Told to let the others live, the run goes on without the dead.
    for seed in (2, 3):
        out = WORK / f"survived-{seed}.h5"
        code, told = kill_one_rank(out, seed, "--enable-recovery")
        assert out.exists(), told
        assert "its unfinished tasks were left to others" in told, told
        assert_same(alone, out)

    print("2 and 4 ranks give the data of one process; 3 runs outlived the death of a rank")
    shutil.rmtree(WORK)
    return 0


sys.exit(main())
