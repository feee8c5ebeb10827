"""check_kills.py WRITE_MADE_UP_RUN KILLS: whatever stops a run, every finished task survives and --resume ends with the
data of an uninterrupted run."""
import pathlib
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time

import h5py
import numpy

WRITER, KILLS = sys.argv[1], int(sys.argv[2])
SIZE = ["--pools", "12", "--replicates", "8", "--days", "40"]


def run(path, *words, limit=None):
    def limit_file_size():
        if limit is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    return subprocess.run([WRITER, path, *SIZE, *words], capture_output=True, text=True, preexec_fn=limit_file_size)


def assert_same(a, b):
    """Equal bit by bit but for the attributes that say when and how the file was made."""
    own = {"created", "command", "nanoseconds_per_pool_hour", "kernel_nanoseconds_per_pool_hour"}
    with h5py.File(a) as first, h5py.File(b) as second:
        assert set(first) == set(second)
        for name in first:
            x, y = first[name][()], second[name][()]
            assert x.dtype == y.dtype and x.shape == y.shape, name
            same = x.tobytes() == y.tobytes() if x.dtype != object else numpy.array_equal(x, y)
            assert same, name
        for name in set(first.attrs) - own:
            assert first.attrs[name] == second.attrs[name], name


def check_kills(folder, whole):
    random.seed(1)  # the moments still differ with the machine's load
    started = time.monotonic()
    assert run(folder / "slow.h5", "--slow", "3").returncode == 0
    whole_s = time.monotonic() - started
    resumed = number = 0
    # Some runs end before their kill; on a busy machine many do.
    while resumed < KILLS and number < 10 * KILLS:
        number += 1
        path = folder / f"killed-{number}.h5"
        process = subprocess.Popen([WRITER, path, *SIZE, "--slow", "3"], stdout=subprocess.DEVNULL)
        time.sleep(random.uniform(0.01, whole_s))
        process.kill()
        killed = process.wait() == -signal.SIGKILL
        if killed:
            # A second kill during the resumed run, sometimes.
            if number % 3 == 0:
                process = subprocess.Popen([WRITER, path, *SIZE, "--slow", "2", "--resume"], stdout=subprocess.DEVNULL)
                time.sleep(random.uniform(0.01, 0.6 * whole_s))
                process.kill()
                process.wait()
            result = run(path, "--resume")
            assert result.returncode == 0, result.stderr
            resumed += 1
        assert_same(whole, path)
        assert not list(folder.glob(f"killed-{number}.h5.*")), "a journal was left behind"
        path.unlink()
    assert resumed == KILLS, f"{resumed} of {number} runs were killed in time"
    print(f"{resumed} runs were killed and resumed to identical data")


def check_full_disk(folder, whole):
    """A limit on file size fails writes as a full disk does; first while tasks are stored, then while the file is
    assembled."""
    path = folder / "full.h5"
    result = run(path, limit=120_000)
    assert result.returncode == 1 and result.stderr.count("\n") == 1, result.stderr
    assert "cannot be written" in result.stderr and "--resume" in result.stderr, result.stderr
    result = run(path, "--resume")
    assert result.returncode == 0, result.stderr
    assert_same(whole, path)
    for limit in (20_000, 60_000, 150_000, 250_000):
        run(path, "--shard", "1/1")
        (folder / "full.h5.part-1-of-1").rename(folder / "full.h5.partial")
        before = path.read_bytes()
        result = run(path, "--resume", limit=limit)
        assert result.returncode == 1 and result.stderr.count("\n") == 1, (limit, result.returncode, result.stderr)
        assert path.read_bytes() == before, "the older file was touched"
        result = run(path, "--resume")
        assert result.returncode == 0, result.stderr
        assert_same(whole, path)
    print("a full disk costs one line and no task")


def check_two_writers(folder):
    path = folder / "twice.h5"
    first = subprocess.Popen([WRITER, path, *SIZE, "--slow", "60"], stdout=subprocess.DEVNULL)
    while not (folder / "twice.h5.partial").exists():
        time.sleep(0.005)
    time.sleep(0.1)
    second = run(path, "--resume")
    assert second.returncode == 1 and "another process is writing it" in second.stderr, second.stderr
    first.kill()
    first.wait()
    assert run(path, "--resume").returncode == 0
    print("a second writer is refused; after the first one's death it may go on")


def check_shards(folder, whole):
    path = folder / "shards.h5"
    for shard in (1, 2, 3):
        assert run(path, "--shard", f"{shard}/3").returncode == 0
    parts = sorted(folder.glob("shards.h5.part-*"))
    subprocess.run([WRITER, path, "--merge", *parts], check=True)
    assert_same(whole, path)
    print("shards merge to identical data")


with tempfile.TemporaryDirectory() as name:
    directory = pathlib.Path(name)
    uninterrupted = directory / "whole.h5"
    assert run(uninterrupted).returncode == 0
    check_kills(directory, uninterrupted)
    check_full_disk(directory, uninterrupted)
    check_two_writers(directory)
    check_shards(directory, uninterrupted)
