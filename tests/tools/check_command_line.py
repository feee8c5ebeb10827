"""Runs brinecast as its users do and checks what they see: answers, exit codes, one line for a mistake, the result file
in other programs."""
import json
import os
import pathlib
import pty
import re
import resource
import shutil
import subprocess
import sys
import time

import h5py
import netCDF4  # noqa: F401  (the engine that xarray is asked for)
import numpy
import xarray

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1]))
from checks import check, sum_up  # noqa: E402
from small_fleet import TOP, small_fleet_text  # noqa: E402

PROGRAM, WORK = sys.argv[1], pathlib.Path(sys.argv[2])


def call(*words, code=0, env=None):
    done = subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, timeout=300, cwd=WORK,
                          env={**os.environ, **(env or {})})
    check(f"{' '.join(map(str, words))}: exit code {done.returncode}, expected {code}\n{done.stderr}",
          done.returncode == code)
    return done


def in_terminal(*words, env):
    """What a run writes to standard error when that is a terminal."""
    ours, theirs = pty.openpty()
    process = subprocess.Popen([PROGRAM, *map(str, words)], stderr=theirs, stdout=subprocess.DEVNULL, cwd=WORK,
                               env={**os.environ, **env})
    os.close(theirs)
    shown = b""
    try:
        while piece := os.read(ours, 65536):
            shown += piece
    except OSError:  # the other end is closed
        pass
    check("the run in a terminal ends well", process.wait(timeout=300) == 0)
    os.close(ours)
    return shown.decode().replace("\r\n", "\n")


def bytes_of(text):
    number, unit = text.split()
    return float(number) * 1000 ** ["B", "kB", "MB", "GB", "TB"].index(unit)


def check_estimate(scenario, factor=2.0):
    """Memory and disk as `check` estimates them, beside what a run takes; `factor` is `size_accuracy` of the program."""
    told = re.search(r"about (.*) of memory on \d+ threads?, (.*) of disk, (\d+) logged", call("check", scenario).stdout)
    process = subprocess.Popen([PROGRAM, "run", str(scenario), "--out", "size.h5", "--replace"],
                               stderr=subprocess.DEVNULL, cwd=WORK)
    journal_bytes = peak_bytes = 0
    while process.poll() is None:
        peak = re.search(r"VmHWM:\s*(\d+) kB", pathlib.Path(f"/proc/{process.pid}/status").read_text())
        peak_bytes = max(peak_bytes, 1024 * int(peak.group(1)) if peak else 0)
        try:
            journal_bytes = max(journal_bytes, (WORK / "size.h5.partial").stat().st_size)
        except FileNotFoundError:  # not there yet, or gone
            pass
        time.sleep(0.005)
    check("the run whose size is measured ends well", process.returncode == 0)
    disk_bytes = journal_bytes + (WORK / "size.h5").stat().st_size
    with h5py.File(WORK / "size.h5") as file:
        visits = file["visit"].shape[0]
    for what, estimate, measured in (("memory", bytes_of(told.group(1)), peak_bytes),
                                     ("disk", bytes_of(told.group(2)), disk_bytes),
                                     ("visits", float(told.group(3)), visits)):
        print(f"{scenario.name}: {what} {measured:.3g}, estimated {estimate:.3g}")
        check(f"{scenario.name}: {what} {measured:.3g} within {factor} of the estimate {estimate:.3g}",
              estimate / factor < measured < estimate * factor)


def check_sizes(scenario):
    """A run that does not fit is refused before it starts, with what would fit."""
    check_estimate(scenario)
    larger = WORK / "larger.toml"
    crew = "".join(f'[[technicians]]\nname = "Technician {i}"\n' for i in range(15))
    larger.write_text(small_fleet_text(replicates=3, days=120, pools=600, technicians=crew))
    check_estimate(larger)
    huge = WORK / "huge.toml"
    huge.write_text(small_fleet_text(days=3650, pools=20000))
    limit = resource.getrlimit(resource.RLIMIT_AS)[1]
    for words, told in ((["--replicates", 1], "of memory, and the limit of its address space (ulimit -v) has"),
                        (["--replicates", 100000], "visits, more than the 2000000000 accepted")):
        done = subprocess.run([PROGRAM, "run", str(huge), "--out", "huge.h5", *map(str, words)], capture_output=True,
                              text=True, cwd=WORK,
                              preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (1 << 30, limit)))
        last = done.stderr.splitlines()[-1]  # the warning before it is the crew's, which is too small as well
        check(f"a run too large is refused in one line that says what fits ({told}): {done.returncode} {last}",
              done.returncode == 1 and told in last and re.search(r"\b[1-9]\d* pools would fit", last))
    check("a refused run leaves nothing behind", not list(WORK.glob("huge.h5*")))


def datasets(file):
    found = {}
    file.visititems(lambda name, item: found.update({name: item[()]}) if isinstance(item, h5py.Dataset) else None)
    return found


def same_data(a, b):
    """All results equal, bit for bit; what tells how long the run took may differ."""
    with h5py.File(a) as one, h5py.File(b) as two:
        first, second = datasets(one), datasets(two)
    if first.keys() != second.keys():
        return False
    for name, value in first.items():
        other = second[name]
        if getattr(value, "dtype", None) is not None and value.dtype.kind == "f":
            if value.tobytes() != other.tobytes():
                return False
        elif not numpy.array_equal(value, other):
            return False
    return True


def main():
    if (WORK / "CMakeLists.txt").exists() or (WORK / ".git").exists():
        sys.exit(f"{WORK} is a source folder, not one to be emptied; usage: check_command_line.py BRINECAST WORK")
    shutil.rmtree(WORK, ignore_errors=True)
    WORK.mkdir(parents=True)
    scenario = WORK / "streets.toml"
    scenario.write_text(small_fleet_text(replicates=3, first_day="2027-05-01", days=62, pools=20))

    # Words
    check("overview lists the commands", "run" in call("--help").stdout)
    check("version", call("--version").stdout.startswith("brinecast "))
    for command in ("check", "run", "compare", "supplies", "rounds", "weather"):
        check(f"{command} --help explains itself", "usage: brinecast " + command in call(command, "--help").stdout)
    check("a misspelt command is suggested", "did you mean compare?" in call("compar", code=2).stderr)
    check("a misspelt option is suggested",
          "did you mean --replicates?" in call("run", scenario, "--out", "a.h5", "--replicats", 3, code=2).stderr)
    check("a count is a count", "at least 1" in call("run", scenario, "--out", "a.h5", "--replicates", -3, code=2).stderr)
    check("a seed is not negative", "from 0" in call("run", scenario, "--out", "a.h5", "--seed", -1, code=2).stderr)
    os.mkfifo(WORK / "pipe")
    check("only a regular file is replaced",
          "not a regular file" in call("run", scenario, "--out", "pipe", "--replace", code=1).stderr)
    check("a build that this machine does not run is refused",
          'no build for "nonsense"; name one of ' in
          call("run", scenario, "--out", "a.h5", code=2, env={"BRINECAST_VECTOR_TARGET": "nonsense"}).stderr)
    check("no command is wrong usage", call(code=2).stdout == "")
    check("a missing word is named", "SCENARIO" in call("check", code=2).stderr)

    # Faults of files
    fault = call("run", "nowhere.toml", "--out", "a.h5", code=1).stderr
    check("a missing scenario is named", "nowhere.toml" in fault and fault.count("\n") == 1)
    check("a missing folder is named", "does not exist" in call("run", scenario, "--out", "no/where/a.h5", code=1).stderr)
    broken = WORK / "broken.toml"
    broken.write_text(scenario.read_text().replace("days = 62", "dayz = 62").replace('"7 d"', '"7 apples"'))
    lines = call("check", broken, code=1).stderr.splitlines()
    check("all problems at once, each with file and line",
          len(lines) >= 2 and all(line.startswith(str(broken) + ":") for line in lines) and
          any("days" in line for line in lines) and any("apples" in line for line in lines))
    harmful = WORK / "harmful.toml"
    harmful.write_text(scenario.read_text().replace(
        "[policies.fortnightly]",
        'dosing.ph.largest_acid = "150 mg/L"\ncell.clean_at_voltage_rise = 0.1\n[policies.fortnightly]'))
    acid_line = 1 + harmful.read_text().splitlines().index('dosing.ph.largest_acid = "150 mg/L"')
    for words in (["check", harmful], ["run", harmful, "--out", "a.h5"]):
        told = call(*words, code=1).stderr
        check(f"{words[0]} refuses a dose beyond the water, with its line",
              f"{harmful}:{acid_line}:" in told and "more than the water can take" in told)
        check(f"{words[0]} tells the rule that can never fire too", f"{harmful}:{acid_line + 1}:" in told)
    busy = WORK / "busy.toml"
    busy.write_text(scenario.read_text().replace('"7 d"', '"1 d"'))
    check("check says that no crew can serve an interval", "no crew can serve" in call("check", busy, code=1).stderr)
    check("run warns of it and goes on",
          "no crew can serve" in call("run", busy, "--out", "busy.h5", "--replicates", 1).stderr)
    check("check cautions against bathing after a shock",
          "nobody enters the water" in call("check", scenario).stderr)
    check("nothing half-written", not (WORK / "a.h5").exists() and not list(WORK.glob("*.partial")))

    if "BRINECAST_SANITIZED" in os.environ:
        print("SKIPPED: sizes of runs, since a sanitizer keeps memory and addresses of its own")
    else:
        check_sizes(scenario)

    # A run, its repeats and its comparison
    check("check summarises", "pools" in call("check", scenario).stdout)
    done = call("run", scenario, "--out", "one.h5", "--threads", 1)
    check("the speed is told", "ns per pool-hour" in done.stderr)
    check("the file is told", "one.h5" in done.stderr and done.stdout == "")
    check("an existing file is kept", "--replace" in call("run", scenario, "--out", "one.h5", code=1).stderr)
    call("run", scenario, "--out", "two.h5", "--threads", 2)
    check("one and two threads give identical data", same_data(WORK / "one.h5", WORK / "two.h5"))
    call("run", "one.h5", "--out", "again.h5")
    check("a result file runs again to identical data", same_data(WORK / "one.h5", WORK / "again.h5"))
    call("run", scenario, "--out", "other.h5", "--seed", 99)
    check("another seed gives other data", not same_data(WORK / "one.h5", WORK / "other.h5"))
    call("run", scenario, "--out", "few.h5", "--policies", "weekly", "--replicates", 2)
    with h5py.File(WORK / "few.h5") as file:
        check("only the named policy, only two seasons", file["visits"].shape[:2] == (1, 2))
    check("an unknown policy is suggested",
          "did you mean weekly" in call("run", scenario, "--out", "b.h5", "--policies", "weakly", code=2).stderr)

    check("a list without a policy is refused",
          "names no policy" in call("run", scenario, "--out", "b.h5", "--policies", ",", code=2).stderr)
    check("a policy named twice is refused",
          "twice" in call("run", scenario, "--out", "b.h5", "--policies", "weekly,weekly", code=2).stderr)
    check("a refused list leaves nothing behind", not list(WORK.glob("b.h5*")))

    # One season has no interval, and counts of one are singular.
    call("run", scenario, "--out", "season.h5", "--replicates", 1)
    text = call("compare", "season.h5").stdout
    check("one season is no spread", "1 paired replicate," in text and "interval" not in text and "* " not in text)
    check("one season is said to be one", "one season says nothing" in text)

    # Pools that are closed all season have no water to judge; policies that do the same are told to.
    closed = "[policies.{0}]\nyear.closes = true\nyear.close_on = \"02-01\"\nyear.open_on = \"12-01\"\n"
    (WORK / "closed.toml").write_text(small_fleet_text(replicates=2, days=5, pools=2, policies=closed.format("one") +
                                                       closed.format("other")))
    call("run", "closed.toml", "--out", "closed.h5")
    for words in (["compare"], ["compare", "--pools", 2, "--figure", "free_chlorine_in_range"], ["supplies"]):
        for form in ("text", "csv", "json"):
            said = call(words[0], "closed.h5", *words[1:], "--format", form).stdout
            check(f"{words} of closed pools as {form} has no number that is none", not re.search(r"\bnan\b", said))
    text = " ".join(call("compare", "closed.h5").stdout.split())
    check("equal policies are told to be equal", "one and other come to the same in every season." in text)
    check("of closed pools nothing is said", "nothing is said of the water" in text)
    values = [figure for figure in json.loads(call("compare", "closed.h5", "--format", "json").stdout)["groups"][0][
        "figures"] if figure["figure"] == "free_chlorine_in_range"][0]["policies"][1]
    check("what is unknown is no finding", values["mean"] is None and values["difference"]["p_value"] == 1)

    # A plan that leaves pools out says so: a van that carries nothing reaches nobody.
    (WORK / "empty_van.toml").write_text(small_fleet_text(
        replicates=1, days=5, pools=2, technicians='[[technicians]]\nname = "Ada Thornwick"\npayload = "1 kg"\n'))
    warned = call("run", "empty_van.toml", "--out", "empty_van.h5").stderr
    check("pools without a place in the rounds are told",
          'warning: weekly: 2 of 2 pools, "Pool 1" first, have no place in any round' in warned)

    # Nothing but plain words goes to a log; a terminal gets one line that is written over, without colours.
    check("a log holds no control characters", not any(c < " " and c != "\n" for c in done.stderr))
    check("a log tells how far the run is and how fast", "6 of 6 seasons, 0 s left" in done.stderr)
    for variables in ({}, {"NO_COLOR": "1"}):
        shown = in_terminal("run", scenario, "--out", "terminal.h5", "--replace", env=variables)
        check(f"a terminal sees progress, remaining time and throughput ({variables})",
              "\r" in shown and "left" in shown and "pool-hours a second" in shown)
        check(f"no colours ({variables})", "\x1b" not in shown)

    # Another version of the format is refused, and both are named.
    for version in (1, 99):
        shutil.copy(WORK / "one.h5", WORK / "version.h5")
        with h5py.File(WORK / "version.h5", "r+") as file:
            here = int(file.attrs["format_version"])
            file.attrs.modify("format_version", version)
        refused = call("compare", "version.h5", code=1).stderr
        check(f"format version {version} is refused by name",
              f"format_version {version} " in refused and f"reads {here}" in refused and refused.count("\n") == 1)

    text = call("compare", "one.h5", "--figure", "salt_added").stdout
    check("a figure alone lists its pools", 'pools behind "salt, kg"' in text)
    check("pools of an unknown figure are refused with the known ones",
          "known are" in call("compare", "one.h5", "--figure", "sand", code=1).stderr)
    check("compare says how likely each policy is the best", "chance of being best, %" in
          call("compare", "one.h5").stdout)
    check("compare states its corrections", all(word in call("compare", "one.h5").stdout for word in ("Holm", "Bonferroni")))
    text = call("compare", "one.h5", "--baseline", "weekly").stdout
    for wanted in ("free chlorine in range", "call-outs", "visits", "driving", "salt", "acid", "cost per pool and month",
                   "95 %"):
        check(f"compare shows {wanted}", wanted in text)
    check("US units", "salt, lb" in call("compare", "one.h5", "--units", "us").stdout)
    json.loads(call("compare", "one.h5", "--format", "json").stdout)
    check("csv has rows", call("compare", "one.h5", "--format", "csv").stdout.count("\n") > 10)
    check("an unknown baseline is named", "weekly" in call("compare", "one.h5", "--baseline", "weakly", code=1).stderr)
    # From a figure of the fleet to the pools behind it, and to each visit of such a pool
    rows = json.loads(call("compare", "one.h5", "--pools", 3, "--figure", "visits", "--format", "json").stdout)[
        "pools"]["list"]
    with h5py.File(WORK / "one.h5") as file:
        visits = file["visits"][:]
        pools = [name.decode() for name in file["pool"][:]]
    change = dict(zip(pools, (visits[1] - visits[0]).mean(axis=0)))
    check("compare lists the pools that lose most in a figure, worst first, with what the file holds of them",
          numpy.allclose([row["policies"][1]["difference"]["mean"] for row in rows],
                         sorted(change.values(), reverse=True)[:3]) and
          all(numpy.isclose(row["policies"][1]["difference"]["mean"], change[row["pool"]]) for row in rows))
    pool = rows[0]["pool"]
    for number, policy in enumerate(("weekly", "fortnightly")):
        story = json.loads(call("why", "one.h5", "--pool", pool, "--policy", policy, "--format", "json").stdout)
        check(f"why tells every visit that {policy} counts", len(story) == visits[number, 0, pools.index(pool)])
        check("each visit has its reason, readings, tasks and expectation",
              all(visit["reasons"] and visit["readings"] and visit["tasks"] and visit["expected"] for visit in story))
        check("some rules fired, in words", any(visit["rules"] for visit in story))
        check("a salt dose stands beside the rule that asked for it",
              all("salt" in visit["rules"] for visit in story if visit["doses"].get("salt_added", 0) > 0))
    part = call("why", "one.h5", "--pool", pool, "--from", "2027-06-01", "--to", "2027-06-07").stdout
    check("why keeps to the days asked for", "2027-06-0" in part and "2027-05-" not in part and "2027-06-1" not in part)
    check("why suggests a pool", "such as" in call("why", "one.h5", "--pool", "Pond", code=1).stderr)
    check("supplies name salt", "salt" in call("supplies", "one.h5").stdout)
    check("a foreign file is refused", "streets.toml" in call("compare", scenario, code=1).stderr)
    plan = json.loads(call("rounds", scenario, "--policy", "weekly", "--format", "json").stdout)
    check("rounds have a bound", 0 < plan["lower_bound"] <= plan["cost"])
    mapped = call("rounds", TOP / "scenarios" / "valley.toml", "--mapped-pools").stdout
    told = call("rounds", TOP / "scenarios" / "valley.toml", "--mapped-pools", "--out", "mapped.csv").stdout
    check("mapped pools go to the file that is named",
          mapped.startswith("name,") and told == "" and (WORK / "mapped.csv").read_text() == mapped)
    check("weather by month", "rain" in call("weather", scenario).stdout)

    # The file in other programs
    with h5py.File(WORK / "one.h5") as file:
        for name in ("format_version", "program_version", "scenario", "scenario_sha256", "seed", "created", "command",
                     "nanoseconds_per_pool_hour", "largest_book_error"):
            check(f"root attribute {name}", name in file.attrs)
        check("the books close", 0 <= float(file.attrs["largest_book_error"]) < 1e-9)
        for name, item in file.items():
            if isinstance(item, h5py.Dataset) and item.dtype.kind == "f" and not name.startswith("_"):
                check(f"{name} has units and a long name", "units" in item.attrs and "long_name" in item.attrs)
    data = xarray.open_dataset(WORK / "one.h5", engine="netcdf4")
    check("named axes", set(data["free_chlorine_in_range"].dims) == {"policy", "replicate", "pool"})
    check("units", data["salt_added"].attrs["units"] == "kg")
    check("policies by name", list(data["policy"].values) == ["weekly", "fortnightly"])
    print(data)

    # Hourly traces of chosen pools
    for name, pools in (("traced_two", '"Pool 1", "Pool 2"'), ("traced_one", '"Pool 2"')):
        (WORK / f"{name}.toml").write_text(small_fleet_text(pools=3, days=4) + f"\n[outputs]\ntrace_pools = [{pools}]\n")
        call("run", f"{name}.toml", "--out", f"{name}.h5")
    with h5py.File(WORK / "traced_two.h5") as two, h5py.File(WORK / "traced_one.h5") as one:
        check("traced pools by name", list(two["trace_pool"][()]) == [b"Pool 1", b"Pool 2"])
        salt, alone = two["trace_salt"][()], one["trace_salt"][()]
        check("a value for every policy, replicate, traced pool and hour", salt.shape == (2, 1, 2, 96) and
              alone.shape == (2, 1, 1, 96) and numpy.isfinite(salt).all())
        check("a pool's trace does not depend on what else is traced", numpy.array_equal(salt[:, :, 1:], alone))
        check("pools have traces of their own", not numpy.array_equal(salt[:, :, 0], salt[:, :, 1]))
        check("tracing leaves the season as it is", numpy.array_equal(two["cost"][()], one["cost"][()]))

    # Shards
    for part in (1, 2):
        call("run", scenario, "--out", "sharded.h5", "--shard", f"{part}/2")
    parts = sorted(WORK.glob("sharded.h5*"))
    call("merge", "sharded.h5", *parts)
    check("shards merge to identical data", same_data(WORK / "one.h5", WORK / "sharded.h5"))

    # The output of a long table cut short by its reader is not a success.
    with open("/dev/full", "w") as full:
        code = subprocess.run([PROGRAM, "compare", "one.h5"], stdout=full, stderr=subprocess.DEVNULL, cwd=WORK).returncode
    check("a full disk behind standard output is a fault", code == 1)

    return sum_up()


if __name__ == "__main__":
    sys.exit(main())
