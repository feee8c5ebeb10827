"""check_messages.py BRINECAST: every wrong input of wrong_inputs.py gets exactly its lines, all problems in one go, and
leaves nothing behind. Scenarios and policies have tables of their own beside their readers."""
import os
import pathlib
import shlex
import shutil
import subprocess
import sys
import tempfile

import h5py

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1]))
from small_fleet import TOP, small_fleet_text  # noqa: E402
from wrong_inputs import WRONG_INPUTS  # noqa: E402

PROGRAM = str(pathlib.Path(sys.argv[1]).resolve())
STRAIGHT = 'kind = "straight_line"'
CENTRE = 'centre = { longitude = -93.0, latitude = 28.2 }\nradius = "6 km"\n'


def prepare(work):
    """Sound inputs, of which each case spoils some."""
    scenario = small_fleet_text(days=3, pools=2, climate="climate.csv",
                                technicians='[[technicians]]\nname = "Ada Thornwick"\n')
    shutil.copy(TOP / "scenarios" / "valley" / "climate.csv", work)
    (work / "lane.toml").write_text(scenario)
    (work / "roads.toml").write_text(scenario.replace(STRAIGHT, 'kind = "osm_extract"\nfile = "town.osm"'))
    (work / "times.toml").write_text(scenario.replace(STRAIGHT, 'kind = "matrix"\nfile = "times.csv"'))
    (work / "list.toml").write_text(scenario.replace("count = 2\n", 'pools = "pools.csv"\n').replace(CENTRE, ""))
    (work / "all.toml").write_text(small_fleet_text(
        days=0, climate="nowhere.csv", policies='[policies.weekly]\nvisits.intervall = "7 d"\n'
        'cell.clean_at = "sometimes"\n').replace("count = 24", 'pools = "pools.csv"').replace("radius", "raduis"))
    (work / "folder").mkdir()
    os.mkfifo(work / "pipe")  # reading it would wait for ever
    subprocess.run([PROGRAM, "run", "lane.toml", "--out", "lane.h5"], cwd=work, check=True, capture_output=True)
    whole = (work / "lane.h5").read_bytes()
    (work / "half.h5").write_bytes(whole[:len(whole) // 2])
    with h5py.File(work / "foreign.h5", "w") as file:
        file["x"] = [1, 2]


def told_by(work, words, files):
    """Exit code, lines and names of the files that a command left, with some files spoilt."""
    sound = {}
    for name, change in files.items():
        path = work / name
        sound[name] = path.read_text() if path.exists() else None
        path.write_text(change if isinstance(change, str) else sound[name].replace(*change))
    before = {path.name for path in work.iterdir()}
    done = subprocess.run([PROGRAM, *shlex.split(words)], cwd=work, capture_output=True, text=True, timeout=120)
    left = {path.name for path in work.iterdir()} - before
    for name, text in sound.items():
        if text is None:
            (work / name).unlink()
        else:
            (work / name).write_text(text)
    # What check says about sound policies, and run about its steps, is no answer to the mistake.
    lines = [line for line in done.stderr.splitlines() if not line.startswith(("caution: ", "reading weather"))]
    return done.returncode, lines, left


def main():
    failed = 0
    with tempfile.TemporaryDirectory() as name:
        work = pathlib.Path(name)
        prepare(work)
        for what, words, files, code, lines in WRONG_INPUTS:
            got_code, got_lines, left = told_by(work, words, files)
            if (got_code, got_lines, left) == (code, lines, set()):
                continue
            failed += 1
            print(f"FAILED: {what}: {words}: exit code {got_code}, expected {code}; left behind: {left or 'nothing'}")
            print("\n".join(f"  said     {line}" for line in got_lines))
            print("\n".join(f"  expected {line}" for line in lines))
    print(f"{len(WRONG_INPUTS)} wrong inputs, {failed} failed")
    return 1 if failed else 0


sys.exit(main())
