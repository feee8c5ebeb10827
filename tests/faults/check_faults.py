"""check_faults.py BRINECAST FAIL_WRITES_LIBRARY ODD_CLOCK_LIBRARY TRIES: what a machine does to a run neither costs finished seasons nor
gives other data. Prints a table of faults: tries, survived (one clear line or a clean end, never a crash), lost (runs
whose data, after --resume, differ from an undisturbed run's)."""
import ctypes
import errno
import os
import pathlib
import random
import resource
import signal
import struct
import subprocess
import sys
import tempfile
import time

import h5py
import numpy

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1]))
from small_fleet import small_fleet_text  # noqa: E402

PROGRAM, SHIM, CLOCK, TRIES = sys.argv[1], sys.argv[2], sys.argv[3], int(sys.argv[4])
# The attributes that say when, where and how fast a file was made.
OWN = {"created", "command", "scenario_path", "nanoseconds_per_pool_hour", "kernel_nanoseconds_per_pool_hour"}
table = {}
random.seed(1)  # the moments still differ with the machine's load


def write_scenario(path, **changes):
    path.write_text(small_fleet_text(**{"pools": 8, "days": 30, "replicates": 6, "first_day": "2027-05-01", **changes}))
    return path


def words(scenario, out, *more):
    return [PROGRAM, "run", str(scenario), "--out", str(out), "--threads", "2", *more]


def run(scenario, out, *more, env=None, before=None):
    return subprocess.run(words(scenario, out, *more), capture_output=True, text=True, preexec_fn=before,
                          env={**os.environ, **(env or {})}, timeout=600)


def same(a, b):
    with h5py.File(a) as first, h5py.File(b) as second:
        if set(first) != set(second):
            return False
        for name in first:
            x, y = first[name][()], second[name][()]
            if x.dtype != y.dtype or x.shape != y.shape:
                return False
            if not (numpy.array_equal(x, y) if x.dtype == object else x.tobytes() == y.tobytes()):
                return False
        names = set(first.attrs) | set(second.attrs)
        return all(name in first.attrs and name in second.attrs and numpy.array_equal(first.attrs[name],
                                                                                      second.attrs[name])
                   for name in names - OWN)


def count(fault, survived, lost, why=""):
    row = table.setdefault(fault, [0, 0, 0])
    row[0] += 1
    row[1] += bool(survived)
    row[2] += bool(lost)
    if lost or not survived:
        print(f"FAILED: {fault}: {why}")


def resumed(scenario, out, whole):
    """Finishes what lies there; whether the data are those of the undisturbed run."""
    if not out.exists():
        done = run(scenario, out, "--resume")
        if done.returncode != 0:
            print(done.stderr)
            return False
    good = same(whole, out) and not list(out.parent.glob(out.name + ".*"))
    out.unlink()
    return good


def stop_at_random(folder, scenario, whole, whole_s, number, name):
    for _ in range(TRIES):
        out = folder / "stopped.h5"
        process = subprocess.Popen(words(scenario, out), stderr=subprocess.PIPE, text=True)
        time.sleep(random.uniform(0.0, whole_s))
        process.send_signal(number)
        text = process.communicate()[1]
        code = process.returncode
        # Before the program watches for signals, a signal ends it as it does any other.
        expected = {0, -number} if number == signal.SIGKILL else {0, -number, 3}
        survived = code in expected and (code != 3 or text.count("--resume") == 1)
        count(name, survived, not resumed(scenario, out, whole), f"exit code {code}: {text}")


def fail_writes(folder, scenario, whole, error):
    """Fails from the first, second, ... change of a file on until a run gets through."""
    first, reached_end = 1, False
    while not reached_end and first < 5000:
        out = folder / "failed.h5"
        done = run(scenario, out, env={"LD_PRELOAD": SHIM, "BRINECAST_FAIL_PATH": out.name,
                                       "BRINECAST_FAIL_FROM": str(first), "BRINECAST_FAIL_ERROR": str(error)})
        reached_end = done.returncode == 0
        # The last line is the fault's; notes may come before it.
        survived = reached_end or (done.returncode == 1 and done.stderr.splitlines()[-1].startswith("brinecast run: "))
        count(f"every write fails with {errno.errorcode[error]} from the Nth on", survived,
              not resumed(scenario, out, whole), f"N = {first}, exit code {done.returncode}: {done.stderr}")
        first += max(1, first // (1 if TRIES < 100 else 40))
    count("the failing of writes reaches the end of a run", reached_end, False)


def memory_limits(folder, scenario, whole):
    """From where the system's loader is content to where the run gets through; what fails first differs with each."""
    finest_kib = 2048 if TRIES < 100 else 64
    for limit_kib in [*range(24 << 10, 64 << 10, finest_kib), 80 << 10, 120 << 10, 160 << 10, 240 << 10, 400 << 10]:
        out = folder / "memory.h5"
        done = run(scenario, out, before=lambda: resource.setrlimit(resource.RLIMIT_AS, (limit_kib << 10,) * 2))
        survived = done.returncode == 0 or (done.returncode == 1 and done.stderr.splitlines()[-1].startswith("brinecast"))
        count("memory limit", survived, not resumed(scenario, out, whole),
              f"{limit_kib} KiB, exit code {done.returncode}: {done.stderr}")


def removed_under_us(folder, scenario, whole, whole_s):
    for _ in range(TRIES):
        out = folder / "removed.h5"
        process = subprocess.Popen(words(scenario, out), stderr=subprocess.PIPE, text=True)
        time.sleep(random.uniform(0.3, 1.0) * whole_s)
        (folder / "removed.h5.partial").unlink(missing_ok=True)
        text = process.communicate()[1]
        count("journal removed under a run", process.returncode in (0, 1), not resumed(scenario, out, whole),
              f"exit code {process.returncode}: {text}")


def surroundings(folder, scenario, whole):
    for env in ({"TZ": "America/New_York"}, {"TZ": "Pacific/Chatham"}, {"TZ": "nonsense"}, {"LC_ALL": "de_DE.UTF-8"},
                {"LANG": "tr_TR.UTF-8"}, {"LC_ALL": "nonsense"}):
        out = folder / "surroundings.h5"
        done = run(scenario, out, env=env)
        count("time zone and locale", done.returncode == 0, not resumed(scenario, out, whole), f"{env}: {done.stderr}")


def changed_clock(folder, scenario, whole):
    out = folder / "clock.h5"
    done = run(scenario, out, env={"LD_PRELOAD": CLOCK})
    count("clock set during a run", done.returncode == 0, not resumed(scenario, out, whole), done.stderr)


def obey_permissions():
    """Root may write everywhere: takes that right (CAP_DAC_OVERRIDE) from what is started next. See prctl(2)."""
    drop_from_bounding_set, override = 24, 1
    if os.geteuid() == 0 and ctypes.CDLL(None).prctl(drop_from_bounding_set, override, 0, 0, 0) != 0:
        raise OSError("root's right to write everywhere cannot be dropped")


def read_only_target(folder, scenario):
    closed = folder / "closed"
    closed.mkdir()
    closed.chmod(0o555)
    done = run(scenario, closed / "out.h5", before=obey_permissions)
    lines = done.stderr.splitlines()
    count("read-only target", done.returncode == 1 and lines and "cannot be created" in lines[-1] and
          not list(closed.iterdir()), False, f"exit code {done.returncode}: {done.stderr}")


def seasons_in(journal):
    """The frames of a journal but the first, which describes the run; the layout stands in results/journal.hpp."""
    bytes_ = journal.read_bytes() if journal.exists() else b""
    at, frames = 8, []
    while at + 16 <= len(bytes_):
        _, _, length = struct.unpack_from("<IIQ", bytes_, at)
        frames.append(bytes_[at:at + 16 + length])
        at += 16 + length
    return frames[1:] if at == len(bytes_) else frames[1:-1]


def resume_reuses(folder, scenario, whole):
    """What a broken-off run finished is not simulated again: its frames stay as they are, and each season comes once."""
    out, journal = folder / "reused.h5", folder / "reused.h5.partial"
    first = 3
    while not 0 < len(seasons_in(journal)) < 12:  # of 6 replicates of 2 policies
        journal.unlink(missing_ok=True)
        done = run(scenario, out, env={"LD_PRELOAD": SHIM, "BRINECAST_FAIL_PATH": journal.name,
                                       "BRINECAST_FAIL_FROM": str(first), "BRINECAST_FAIL_ERROR": str(errno.ENOSPC)})
        if done.returncode == 0:
            count("finished seasons are reused", False, False, "no run was broken off between its seasons")
            return
        first += 1
    before = seasons_in(journal)
    # The second time the file itself cannot be written, so that the journal stays to be looked at.
    done = run(scenario, out, "--resume", env={"LD_PRELOAD": SHIM, "BRINECAST_FAIL_PATH": out.name + ".writing",
                                               "BRINECAST_FAIL_FROM": "1", "BRINECAST_FAIL_ERROR": str(errno.ENOSPC)})
    after = seasons_in(journal)
    good = done.returncode == 1 and after[:len(before)] == before and len(after) == 12
    count("finished seasons are reused", good and f"{len(before)} finished tasks found" in done.stderr,
          not resumed(scenario, out, whole), f"{len(before)} seasons, then {len(after)}: {done.stderr}")


def too_little(folder, scenario, whole):
    """Too little room, or too few threads, is told before anything is begun; room only estimated may be tried."""
    out = folder / "little.h5"
    small = {"LD_PRELOAD": SHIM, "BRINECAST_FREE_BYTES": "1000"}
    done = run(scenario, out, env=small)
    told = "of disk, and 1 kB are free" in done.stderr and "--try-anyway starts it all the same" in done.stderr
    count("too little disk", done.returncode == 1 and told, out.exists(), done.stderr)
    done = run(scenario, out, "--try-anyway", env=small)
    warned = "warning: the run needs about" in done.stderr
    count("too little disk, tried anyway", done.returncode == 0 and warned, not resumed(scenario, out, whole),
          done.stderr)
    if "BRINECAST_SANITIZED" in os.environ:
        print("SKIPPED: too few threads, since a sanitizer starts them itself")
        return
    done = run(scenario, out, env={"LD_PRELOAD": SHIM, "BRINECAST_MOST_THREADS": "1"})
    told = "only 1 of 2 threads can be started" in done.stderr and "give --threads 1" in done.stderr
    count("too few threads", done.returncode == 1 and told, out.exists(), f"{done.returncode}: {done.stderr}")


def unusual_runs(folder):
    cases = {"0 pools": (dict(pools=0), 1), "1 pool": (dict(pools=1), 0),
             "leap day": (dict(first_day="2028-02-20", days=20), 0),
             "southern hemisphere": (dict(latitude=-34.0), 0), "polar night": (dict(latitude=78.0,
                                                                                    first_day="2027-11-20"), 0)}
    if TRIES >= 100:
        cases["30 years"] = (dict(pools=2, days=10957, replicates=1), 0)
        crew = "".join(f'[[technicians]]\nname = "Technician {number}"\n' for number in range(500))
        cases["100,000 pools"] = (dict(pools=100_000, days=2, replicates=1, technicians=crew,
                                       policies='[policies.monthly]\nvisits.interval = "28 d"\n'), 0)
    for name, (changes, code) in cases.items():
        out = folder / "unusual.h5"
        done = run(write_scenario(folder / "unusual.toml", **{"replicates": 2, **changes}), out)
        count(name, done.returncode == code and done.stderr.strip(), False, f"exit code {done.returncode}: {done.stderr}")
        for left in folder.glob("unusual.h5*"):
            left.unlink()


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        scenario, whole = write_scenario(folder / "faults.toml"), folder / "whole.h5"
        started = time.monotonic()
        done = run(scenario, whole)
        whole_s = time.monotonic() - started
        if done.returncode != 0:
            sys.exit(f"the undisturbed run failed: {done.stderr}")
        stop_at_random(folder, scenario, whole, whole_s, signal.SIGKILL, "kill -9")
        stop_at_random(folder, scenario, whole, whole_s, signal.SIGINT, "SIGINT")
        stop_at_random(folder, scenario, whole, whole_s, signal.SIGTERM, "SIGTERM")
        fail_writes(folder, scenario, whole, errno.ENOSPC)
        fail_writes(folder, scenario, whole, errno.EIO)
        if "BRINECAST_SANITIZED" in os.environ:
            print("SKIPPED: memory limit, since a sanitizer maps terabytes for itself")
        else:
            memory_limits(folder, scenario, whole)
        removed_under_us(folder, scenario, whole, whole_s)
        surroundings(folder, scenario, whole)
        changed_clock(folder, scenario, whole)
        read_only_target(folder, scenario)
        resume_reuses(folder, scenario, whole)
        too_little(folder, scenario, whole)
        unusual_runs(folder)
    print(f"{'fault':50} {'tries':>6} {'survived':>9} {'lost':>5}")
    for fault, (tries, survived, lost) in table.items():
        print(f"{fault:50} {tries:6} {survived:9} {lost:5}")
    return any(survived < tries or lost for tries, survived, lost in table.values())


sys.exit(main())
