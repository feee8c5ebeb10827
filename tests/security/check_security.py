"""check_security.py BRINECAST PLUGIN WRITE_MADE_UP_RUN: crafted scenarios, result files and links make the program neither write outside the
given paths, nor read what it should not, nor start other programs or load their code."""
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile

import h5py
import numpy

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1]))
from checks import check, sum_up  # noqa: E402
from small_fleet import TOP, small_fleet_text  # noqa: E402

PROGRAM, PLUGIN, MAKER = (pathlib.Path(word).resolve() for word in sys.argv[1:4])
WORK = pathlib.Path(tempfile.mkdtemp(prefix="security."))
HERE = WORK / "here"  # the only folder that may change
SCENARIO = small_fleet_text(days=3, pools=3, climate="climate.csv")
STRAIGHT = 'kind = "straight_line"'


def call(*words, env=None):
    # A pipe or a device that is read would wait for ever.
    return subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, cwd=HERE, timeout=120,
                          stdin=subprocess.DEVNULL, env={**os.environ, "HOME": str(HERE), **(env or {})})


def write(name, text=SCENARIO):
    (HERE / name).write_text(text)
    return name


def refused(what, done, told):
    lines = done.stderr.splitlines()
    check(f"{what}: exit code {done.returncode}, {done.stderr[:400]!r}",
          done.returncode == 1 and lines and any(told in line for line in lines) and
          all(len(line) < 1000 for line in lines) and not any(c < " " and c != "\n" for c in done.stderr))


def names_in_scenarios():
    os.mkfifo(HERE / "pipe")
    (HERE / "folder").mkdir()
    for what, name, told in (("a device", "/dev/zero", "is not a regular file"),
                             ("standard input", "/dev/stdin", "is not a regular file"),
                             ("a pipe", "pipe", "is not a regular file"),
                             ("a folder", "folder", "is not a regular file"),
                             ("a path above all folders", "../" * 40 + "no/such.csv", "there is no file"),
                             ("a name with a zero byte", "a\\u0000b", "control characters"),
                             ("a name with a line break", "a\\nb", "control characters"),
                             ("an escape sequence", "a\\u001b[31mb", "control characters"),
                             ("a very long name", "x" * 5000, "more than 200 bytes"),
                             ("an address", "https://pools.example/climate.csv", "there is no file")):
        write("crafted.toml", SCENARIO.replace("climate.csv", name))
        refused(f"{what} as climate", call("check", "crafted.toml"), told)
        write("crafted.toml", SCENARIO.replace(STRAIGHT, f'kind = "osm_extract"\nfile = "{name}"'))
        refused(f"{what} as road extract", call("check", "crafted.toml"), told)
        write("crafted.toml", SCENARIO.replace("count = 3\n", f'pools = "{name}"\n'))
        refused(f"{what} as list of pools", call("check", "crafted.toml"), told)
    for name, told in (("/dev/zero", "not a regular file"), ("pipe", "not a regular file"), ("folder", "is a folder"),
                       ("../" * 40 + "no/such.toml", "no such file")):
        write("crafted.toml", f'policy_library = ["{name}"]\n' + SCENARIO)
        refused(f"{name} as library of policies", call("check", "crafted.toml"), told)
    for name in ("/etc/passwd", "../here/climate.csv"):
        write("crafted.toml", SCENARIO.replace(STRAIGHT, f'kind = "osm_extract"\nfile = "{name}"'))
        refused(f"{name} as road extract", call("check", "crafted.toml"), "cannot be read as a road extract")
    with open(HERE / "hole.osm.pbf", "wb") as hole:
        hole.truncate(2_000_000_000)
    write("crafted.toml", SCENARIO.replace(STRAIGHT, 'kind = "osm_extract"\nfile = "hole.osm.pbf"'))
    refused("two gigabytes of nothing as road extract", call("check", "crafted.toml"), "more than the 1000000000 accepted")
    (HERE / "hole.osm.pbf").unlink()


def no_other_program():
    """An extract whose path looks like an address is a file all the same."""
    (HERE / "http:" / "pools.example").mkdir(parents=True)
    shutil.copy(TOP / "scenarios/valley/roads.osm.pbf", HERE / "http:" / "pools.example" / "roads.osm.pbf")
    (HERE / "bin").mkdir()
    for name in ("curl", "sh"):
        tool = HERE / "bin" / name
        tool.write_text(f"#!/bin/bash\ntouch {HERE / 'fetched'}\n")
        tool.chmod(0o755)
    write("crafted.toml", SCENARIO.replace(STRAIGHT, 'kind = "osm_extract"\nfile = "http://pools.example/roads.osm.pbf"'))
    path = {"PATH": f"{HERE / 'bin'}:{os.environ['PATH']}"}
    for words in (["check", "crafted.toml"], ["rounds", "crafted.toml", "--mapped-pools"]):
        call(*words, env=path)
        check(f"{words[0]} starts no other program for a file named like an address", not (HERE / "fetched").exists())
    symbols = subprocess.run(["nm", "-D", "--undefined-only", PROGRAM], capture_output=True, text=True).stdout
    called = {line.split()[-1].split("@")[0] for line in symbols.splitlines() if line}
    check("the program's symbols are known", "open" in called or "open64" in called)
    for function in ("system", "popen", "socket", "connect", "getaddrinfo"):
        check(f"the program does not call {function}", function not in called)
    libraries = subprocess.run(["ldd", PROGRAM], capture_output=True, text=True).stdout
    for library in ("libcurl", "libssl", "libldap"):
        check(f"{library} is not linked", library not in libraries)


def links_at_outputs():
    victim = WORK / "victim.txt"
    victim.write_text("dear to somebody")
    write("lane.toml")
    check("the scenario runs", call("run", "lane.toml", "--out", "lane.h5").returncode == 0)

    def kept(what):
        check(f"{what} is kept", victim.read_text() == "dear to somebody")

    (HERE / "a.h5.partial").symlink_to(victim)
    refused("a link in the journal's place", call("run", "lane.toml", "--out", "a.h5"), "is a link")
    kept("what a link in the journal's place names")
    (HERE / "a.h5.partial").unlink()
    (HERE / "a.h5.writing").symlink_to(victim)
    check("a link in the place of the file being written is replaced",
          call("run", "lane.toml", "--out", "a.h5").returncode == 0 and not (HERE / "a.h5").is_symlink())
    kept("what it names")
    for words in (["rounds", "lane.toml", "--format", "gpx", "--out"], ["report", "lane.h5", "--out"]):
        (HERE / "page").unlink(missing_ok=True)
        (HERE / "page").symlink_to(victim)
        check(f"{words[0]} replaces a link", call(*words, "page").returncode == 0 and not (HERE / "page").is_symlink())
        kept(f"what a link in the place of the output of {words[0]} names")
    before = (HERE / "lane.h5").read_bytes()
    (HERE / "linked.h5").hardlink_to(HERE / "lane.h5")
    for out in ("lane.h5", "./lane.h5", "linked.h5", "a.h5"):
        refused(f"the page over {out}", call("report", "lane.h5", "--out", out), "give another name")
    refused("a page in no folder", call("report", "lane.h5", "--out", "no/page.html"), "cannot be written")
    check("the result file is untouched", (HERE / "lane.h5").read_bytes() == before)
    # Names of technicians become names of files.
    (HERE / "days").mkdir()
    crew = ["../../../../tmp/x", "a/b", "a b", "/etc/cron"]
    write("crew.toml", small_fleet_text(days=3, pools=60, climate="climate.csv", technicians="".join(
        f'[[technicians]]\nname = "{name}"\nshift_length = "4 h"\n' for name in crew)))
    check("rounds of oddly named technicians are written",
          call("rounds", "crew.toml", "--format", "gpx", "--out", "days").returncode == 0)
    written = list((HERE / "days").iterdir())
    check("into the folder given", written and all(path.is_file() for path in written))


def inputs_at_outputs():
    """What a command reads, and the finished tasks of another run, are never written over."""
    (HERE / "halted.h5.partial").write_bytes(b"BRNJRN01 and some finished tasks")
    kept = {name: (HERE / name).read_bytes() for name in ("lane.toml", "climate.csv", "lane.h5", "halted.h5.partial")}
    for name in kept:
        for words in (["run", "lane.toml", "--replace", "--out"], ["run", "lane.h5", "--replace", "--out"],
                      ["rounds", "lane.toml", "--out"], ["report", "lane.h5", "--out"]):
            if words[:2] == ["run", "lane.toml"] and name == "lane.h5":
                continue  # that is what --replace is for
            refused(f"{' '.join(words[:2])} over {name}", call(*words, f"./{name}"), "would be lost")
            check(f"{name} is as it was after {words[0]}", (HERE / name).read_bytes() == kept[name])
    (HERE / "halted.h5.partial").unlink()


def crafted_results():
    def crafted(change):
        shutil.copy(HERE / "lane.h5", HERE / "crafted.h5")
        with h5py.File(HERE / "crafted.h5", "r+") as file:
            change(file)

    def virtual(file):
        layout = h5py.VirtualLayout(shape=(3,), dtype="u1")
        layout[:] = h5py.VirtualSource("/etc/passwd", "x", shape=(3,))
        file.create_virtual_dataset("outside", layout)

    def external(file):
        file.create_dataset("outside", shape=(3,), dtype="u1", external=[("/etc/passwd", 0, 3)])

    def link(file):
        file["outside"] = h5py.ExternalLink("/etc/passwd", "/")

    for what, change, told in (("a virtual variable", virtual, "in another file"),
                               ("values kept outside", external, "in another file"),
                               ("a link to another file", link, "holds a link")):
        crafted(change)
        for words in (["compare", "crafted.h5"], ["run", "crafted.h5", "--out", "b.h5"]):
            refused(f"{words[0]} of {what}", call(*words), told)

    def foreign_filter(file):
        old = file["visits"]
        attributes = {name: old.attrs[name] for name in ("units", "long_name")}
        shape = old.shape
        del file["visits"]
        creation = h5py.h5p.create(h5py.h5p.DATASET_CREATE)
        creation.set_chunk(shape)
        creation.set_filter(32001, h5py.h5z.FLAG_OPTIONAL, ())
        new = h5py.Dataset(h5py.h5d.create(file.id, b"visits", h5py.h5t.NATIVE_DOUBLE, h5py.h5s.create_simple(shape),
                                           creation))
        new.id.write_direct_chunk((0,) * len(shape), numpy.zeros(shape).tobytes())
        for name, value in attributes.items():
            new.attrs[name] = value

    crafted(foreign_filter)
    (HERE / "plugins").mkdir()
    shutil.copy(PLUGIN, HERE / "plugins" / "libh5foreign.so")
    refused("a filter that HDF5 does not bring along",
            call("compare", "crafted.h5", env={"HDF5_PLUGIN_PATH": str(HERE / "plugins"),
                                               "BRINECAST_TEST_MARK": str(HERE / "loaded")}), "damaged")
    check("no library of others is loaded to read it", not (HERE / "loaded").exists())
    (HERE / "climate.csv").rename(HERE / "away.csv")
    refused("a result file whose input went", call("run", "lane.h5", "--out", "b.h5"), "is not there")
    (HERE / "climate.csv").write_text("other\n")
    refused("a result file whose input changed", call("run", "lane.h5", "--out", "b.h5"), "has changed")
    (HERE / "climate.csv").unlink()
    (HERE / "away.csv").rename(HERE / "climate.csv")

    # Sound in themselves, with digests that fit, but not as the program writes them.
    subprocess.run([MAKER, "made.h5", "--scenario", "lane.toml"], cwd=HERE, check=True, capture_output=True)
    refused("a result file whose list of inputs leaves one out", call("run", "made.h5", "--out", "b.h5"),
            "its scenario reads climate.csv, which its list of input files does not name")
    for what, words in (("an escape sequence", "\x1b[31m"), ("a line break", "\n"), ("a delete", "\x7f"),
                        ("an escape sequence of one character", "\u009b31m")):
        (HERE / "made.h5").unlink()
        subprocess.run([MAKER, "made.h5", "--words", words], cwd=HERE, check=True, capture_output=True)
        for command in (["compare"], ["supplies"], ["why", "--pool", "x"], ["report", "--out", "page.html"]):
            refused(f"{command[0]} of names with {what}", call(command[0], "made.h5", *command[1:]),
                    "holds a name with control characters")
    check("refused runs leave nothing", not list(HERE.glob("b.h5*")))


def main():
    HERE.mkdir()
    shutil.copy(TOP / "scenarios/valley/climate.csv", HERE)
    names_in_scenarios()
    no_other_program()
    links_at_outputs()
    inputs_at_outputs()
    crafted_results()
    check("nothing outside the folder was made", sorted(path.name for path in WORK.iterdir()) == ["here", "victim.txt"])
    return sum_up()


try:
    sys.exit(main())
finally:
    shutil.rmtree(WORK)
