"""check_limits.py BRINECAST: what README's table of limits allows is read, one more is refused in a line that says so.
Left out are `threads`, which a machine may not be able to start, and `visits logged in a run`, which are estimated: others
try both."""
import datetime
import pathlib
import re
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1]))
from checks import check, sum_up  # noqa: E402
from small_fleet import TOP, small_fleet_text  # noqa: E402

PROGRAM = str(pathlib.Path(sys.argv[1]).resolve())
LIMITS = {what: int(most.replace(",", "")) for what, most in re.findall(
    r"^\| ([^|]+) \| ([\d,]+)(?: \w+)? \|$", (TOP / "README.md").read_text(), re.MULTILINE)}
CLIMATE = TOP / "scenarios" / "valley" / "climate.csv"
LIBRARY = TOP / "scenarios" / "policies" / "library.toml"
STRAIGHT = 'kind = "straight_line"'
CENTRE = 'centre = { longitude = -93.0, latitude = 28.2 }\nradius = "6 km"\n'


def scenario(**changes):
    return small_fleet_text(**{"days": 3, "pools": 3, **changes})


def with_many_pools():
    return with_list(scenario(technicians=times(500, '[[technicians]]\nname = "T #"\n'),
                              policies='[policies.monthly]\nvisits.interval = "28 d"\n'))


def times(count, row):
    return "".join(row.replace("#", str(number)) for number in range(count))


def with_list(text):
    return text.replace("count = 3\n", 'pools = "list.csv"\n').replace(CENTRE, "")


def padded(path, text, size):
    """A text of so many bytes, most of them comments ahead of it."""
    line = "#" * 127 + "\n"
    room = size - len(text)
    path.write_text(line * (room // len(line)) + ("#" * (room % len(line) - 1) + "\n" if room % len(line) else "") + text)


def hole(path, size):
    """A file of so many bytes, all zero, that takes no room; what is wrong with it then is told of its content."""
    with open(path, "wb") as file:
        file.truncate(size)


def pool_list(count):
    return "name,longitude,latitude\n" + times(count, "Pool #,-93,28.2\n")


def two_days(folder, count):
    last = datetime.date(1800, 1, 1) + datetime.timedelta(days=count - 1)
    header = "time,temperature [degC],humidity [%],wind_speed [m/s],solar_radiation [W/m2],rain [mm]\n"
    day = "".join("{} %02d:00,20,50,2,0,0\n" % hour for hour in range(24))
    (folder / "hours.csv").write_text(header + day.replace("{}", "1800-01-01") + day.replace("{}", last.isoformat()))


# What, its scenario for a count, what more is needed beside it, what is told of one more, whether the most is sound as a
# whole (else it has other faults, told in its place).
CASES = [
    ("pools", lambda n: with_many_pools(), lambda d, n: (d / "list.csv").write_text(pool_list(n)),
     "pools, more than the {} accepted", True),
    ("technicians", lambda n: scenario(technicians=times(n, '[[technicians]]\nname = "T #"\n')), None,
     "technicians, more than the {} accepted", True),
    ("different skills of all technicians",
     lambda n: scenario(technicians='[[technicians]]\nname = "Ada Thornwick"\nskills = [' + times(n, '"key #",') + "]\n"),
     None, "different skills, more than the {} accepted", True),
    ("sites with their own weather",
     lambda n: scenario() + times(n, '[[sites]]\nname = "S #"\nlongitude = -93\nlatitude = 28.2\n'), None,
     "sites, more than the {} accepted", True),
    ("policies", lambda n: scenario(policies=times(n, '[policies.p#]\nvisits.interval = "7 d"\n')), None,
     "policies, more than the {} accepted", True),
    ("replicates", lambda n: scenario(replicates=n), None, "more than {}, the largest accepted", True),
    ("season", lambda n: scenario(days=n), None, "more than {}, the largest accepted", True),
    ("pools with hourly traces",
     lambda n: with_many_pools() + "[outputs]\ntrace_pools = [" + times(n, '"Pool #",') + "]\n",
     lambda d, n: (d / "list.csv").write_text(pool_list(n)), "pools are listed, more than the {} accepted", True),
    ("name or other text", lambda n: scenario().replace("Ada Thornwick", "x" * n), None,
     "the text has more than {} bytes", True),
    ("entries of a list in a scenario", lambda n: scenario() + "[outputs]\ntrace_pools = [" + '"p",' * n + "]\n", None,
     "the list has more than {} entries", False),
    ("scenario file", lambda n: scenario(), lambda d, n: padded(d / "limit.toml", scenario(), n),
     "bytes, more than the {} accepted", True),
    ("policy library", lambda n: 'policy_library = ["library.toml"]\n' + scenario(),
     lambda d, n: padded(d / "library.toml", LIBRARY.read_text(), n), "bytes, more than the {} accepted", True),
    ("pool list", lambda n: with_list(scenario()), lambda d, n: padded(d / "list.csv", pool_list(3), n),
     "bytes, more than the {} accepted", True),
    ("climate table", lambda n: scenario(climate="climate.csv"),
     lambda d, n: padded(d / "climate.csv", CLIMATE.read_text(), n), "bytes, more than the {} accepted", True),
    ("weather file", None, lambda d, n: hole(d / "hours.csv", n), "the file is 1.0 GB long, more than", False),
    ("rows of a weather file", None, lambda d, n: (d / "hours.csv").write_text("\n" * n), "more than {} lines", False),
    ("days that a weather file spans", None, two_days, "the days span more than 200 years", False),
    ("road extract", lambda n: scenario().replace(STRAIGHT, 'kind = "osm_extract"\nfile = "town.osm"'),
     lambda d, n: hole(d / "town.osm", n), "bytes, more than the {} accepted", False),
    ("places in a table of travel times (pools, starts, ends)",
     lambda n: scenario(pools=n - 4).replace(
         STRAIGHT, 'kind = "matrix"\nfile = "times.csv"'), lambda d, n: hole(d / "times.csv", 9), "places, more than the {} accepted", False),
    ("table of travel times", lambda n: scenario().replace(STRAIGHT, 'kind = "matrix"\nfile = "times.csv"'),
     lambda d, n: hole(d / "times.csv", n), "bytes, more than the {} accepted", False),
]


def main():
    tried = {what for what, *_ in CASES}
    check("every limit of README is tried", tried | {"threads", "visits logged in a run"} == set(LIMITS),
          tried ^ set(LIMITS))
    for what, text, beside, told, sound in CASES:
        most = LIMITS[what]
        with tempfile.TemporaryDirectory(prefix="limits.") as name:
            folder = pathlib.Path(name)
            for count in (most, most + 1):
                if text:
                    (folder / "limit.toml").write_text(text(count))
                if beside:
                    beside(folder, count)
                words = ["check", "limit.toml"] if text else ["weather", "hours.csv"]
                done = subprocess.run([PROGRAM, *words], cwd=folder, capture_output=True, text=True, timeout=300)
                said = told.format(most) in done.stderr
                if count == most:
                    check(f"{what}, {count}", not said and done.returncode == (0 if sound else 1),
                          f"exit code {done.returncode}, {done.stderr[:500]}")
                else:
                    check(f"{what}, {count}", said and done.returncode == 1,
                          f"exit code {done.returncode}, {done.stderr[:500]}")
    return sum_up()


if __name__ == "__main__":
    sys.exit(main())
