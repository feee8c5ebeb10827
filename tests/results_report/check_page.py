#!/usr/bin/env python3
"""check_page.py BRINECAST WRITE_MADE_UP_RUN ARTEFACTS: opens a report page in headless Chromium, offline.

Fails on any console error, on a chart that was not drawn, on a figure that differs from the file's own, on a table
without caption or scopes, and on anything that would load from elsewhere. Leaves screenshots in ARTEFACTS."""
import html
import html.parser
import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

import h5py
import numpy

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1]))
from checks import check, sum_up  # noqa: E402

BRINECAST, WRITE_RUN, ARTEFACTS = sys.argv[1], sys.argv[2], pathlib.Path(sys.argv[3])
HOSTILE = "<img src=x onerror=console.error('escaped')> </script> & {{title}}"


def chromium(page: pathlib.Path, *extra: str) -> subprocess.CompletedProcess:
    browser = shutil.which("chromium") or "/usr/bin/chromium"
    with tempfile.TemporaryDirectory() as profile:
        return subprocess.run(
            [browser, "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
             "--disable-component-update", "--disable-sync", "--hide-scrollbars", f"--user-data-dir={profile}",
             "--host-resolver-rules=MAP * ~NOTFOUND", "--virtual-time-budget=10000", "--enable-logging=stderr", *extra,
             page.as_uri()], capture_output=True, text=True, timeout=240, check=True)


class Tables(html.parser.HTMLParser):
    """Tables as {caption: rows of cell texts}, and what each table lacks."""

    def __init__(self) -> None:
        super().__init__()
        self.tables, self.lacking = {}, []
        self.rows, self.text, self.caption = None, None, None

    def handle_starttag(self, tag, attributes):
        if tag == "table":
            self.rows, self.caption = [], ""
        elif tag == "tr":
            self.rows.append([])
        elif tag in ("th", "td", "caption"):
            self.text = ""
            if tag == "th" and "scope" not in dict(attributes):
                self.lacking.append(self.caption)

    def handle_data(self, data):
        if self.text is not None:
            self.text += data

    def handle_endtag(self, tag):
        if tag == "caption":
            self.caption, self.text = self.text, None
        elif tag in ("th", "td"):
            self.rows[-1].append(self.text)
            self.text = None
        elif tag == "table":
            if not self.caption:
                self.lacking.append("a table without caption")
            self.tables[self.caption] = self.rows


def check_page(file: pathlib.Path, units: str) -> pathlib.Path:
    page = file.with_suffix(f".{units}.html")
    subprocess.run([BRINECAST, "report", file, "--out", page, "--units", units], check=True)
    dump = chromium(page, "--dump-dom")
    dom = dump.stdout
    console = [line for line in dump.stderr.splitlines() if "CONSOLE" in line]
    check("the browser's console stays silent", not console, console[:3])
    charts = re.findall(r'<div [^>]*class="chart"[^>]*>', dom)
    check("every chart is drawn", len(charts) >= 11 and all("data-drawn" in chart for chart in charts), charts)
    check("every chart has a text alternative", dom.count('role="img" aria-label=') >= len(charts))
    body = re.sub(r"<script.*?</script>", "", dom, flags=re.S)
    loads = re.findall(r"""(?:src|href|action)\s*=\s*["']?(?!#)([^"'\s>]+)""", body)
    check("nothing is loaded from elsewhere", not [load for load in loads if not load.startswith("data:")], loads[:5])
    check("a policy of its own forbids to load anything", "default-src 'none'" in dom)
    for landmark in ("<header", "<nav", "<main", "<footer", 'lang="en"'):
        check(f"the page has {landmark.strip('<')}", landmark in dom)
    tables = Tables()
    tables.feed(body)
    check("every table has a caption and scoped heads", not tables.lacking, tables.lacking)

    comparison = json.loads(subprocess.run([BRINECAST, "compare", file, "--format", "json", "--units", units],
                                           check=True, capture_output=True, text=True).stdout)
    check("the decision is that of compare", html.escape(comparison["verdict"], quote=False) in dom, comparison["verdict"])
    cells = dict(re.findall(r'<tr data-figure="(\w+)">(.*?)</tr>', dom, flags=re.S))
    for figure in comparison["groups"][0]["figures"]:
        means = re.findall(r"<td>(-?[\d.]+)", cells.get(figure["figure"], ""))
        wanted = [policy["mean"] for policy in figure["policies"]]
        decimals = [len(mean.partition(".")[2]) for mean in means]
        same = len(means) == len(wanted) and all(
            abs(float(mean) - value) <= 0.500001 * 10.0**-digits for mean, value, digits in zip(means, wanted, decimals))
        check(f"{figure['figure']} equals compare's", same, (means, wanted))

    plan = json.loads(subprocess.run([BRINECAST, "supplies", file, "--format", "json", "--units", units],
                                     check=True, capture_output=True, text=True).stdout)
    rows = next(rows for caption, rows in tables.tables.items() if caption.startswith("Needed by month under"))
    wanted = [[f"{material['season'][q]:.0f}" for q in ("p50", "p10", "p90")] for material in plan["materials"]]
    check("the season's supplies equal those of supplies",
          [re.findall(r"-?\d+", cell) for cell in rows[-1][1:]] == wanted, (rows[-1], wanted))

    with h5py.File(file) as source:
        median = source["day_salt"][0, :, 2, :].mean(axis=0) * (1.0 if units == "si" else 1000.0)
    figures = json.loads(re.search(r'id="page-data">(.*?)</script>', dom, flags=re.S).group(1))
    salt = next(band for band in figures["bands"] if band["name"] == "day_salt")
    check("the band of salt equals the file's", numpy.allclose(salt["series"][0][2], median, rtol=1e-4))
    check_map(file, figures, tables.tables, dom, units)
    rows = next(rows for caption, rows in tables.tables.items() if caption.startswith("Work and driving of each technician"))
    wanted = [(each["technician"], *(f"{each['season_h'][q]:.0f}" for q in ("p50", "p10", "p90")))
              for each in plan["technicians"]]
    shown = [(row[0], *re.findall(r"-?\d+", row[1])) for row in rows[1:]]
    check("each technician's load equals that of supplies", shown == wanted, (shown, wanted))
    return page


def check_map(file: pathlib.Path, figures: dict, tables: dict, dom: str, units: str) -> None:
    """The lines on the map are the file's, point by point, and the chart really draws them."""
    with h5py.File(file) as source:
        points = numpy.stack([source["route_longitude"][()], source["route_latitude"][()]], axis=1)
        first = numpy.concatenate([[0], numpy.cumsum(source["round_route_points"][()])])
        policy, day = source["round_policy"][()], source["round_day"][()]
        metres = source["round_driving_distance"][()]
        names = source["technician"].asstr()[()][source["round_technician"][()]]
    lines = [numpy.array(entry["line"]) for rounds in figures["rounds"] for entry in rounds]
    check("the map holds the file's lines of rounds", len(lines) == len(policy) and all(
        numpy.array_equal(line, points[first[i]:first[i + 1]]) for i, line in enumerate(lines)))
    chart = re.search(r'id="rounds-chart".*?</svg>', dom, flags=re.S).group(0)
    drawn = re.findall(r'<path aria-label="[^"]*"[^>]*d="(M[^"]+)"|<path d="(M[^"]+L[^"]+)"', chart)
    today = (policy == 0) & (day == 0)
    check("the map draws every line, those of the day once more", len(drawn) >= (policy == 0).sum() + today.sum(),
          len(drawn))
    check("the map says what its lines follow", "The lines follow the roads" in dom)
    rows = next(rows for caption, rows in tables.items() if caption.startswith("Rounds of day 1,"))
    factor = 1e-3 if units == "si" else 1 / 1609.344
    wanted = [(name, f"{length * factor:.1f}") for name, length in zip(names[today], metres[today])]
    check("the rounds of the day equal the file's", [(row[0], row[5]) for row in rows[1:]] == wanted, (rows, wanted))


def check_escapes(folder: pathlib.Path) -> None:
    """A scenario's own words must stay words."""
    hostile = folder / "hostile.h5"
    subprocess.run([WRITE_RUN, hostile, "--words", HOSTILE], check=True, stdout=subprocess.DEVNULL)
    page = hostile.with_suffix(".html")
    made = subprocess.run([BRINECAST, "report", hostile, "--out", page], capture_output=True, text=True)
    check("a page is made of hostile words", made.returncode == 0, made.stderr)
    if made.returncode != 0:
        return
    dump = chromium(page, "--dump-dom")
    check("hostile words run nothing", "CONSOLE" not in dump.stderr, dump.stderr[-500:])
    check("hostile words make no element", "<img" not in re.sub(r"<script.*?</script>", "", dump.stdout, flags=re.S))
    check("hostile words are shown as they are", html.escape(HOSTILE, quote=False) in dump.stdout)


def main() -> int:
    ARTEFACTS.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        file = pathlib.Path(folder) / "valley.h5"
        subprocess.run([WRITE_RUN, file], check=True, stdout=subprocess.DEVNULL)
        page = check_page(file, "si")
        check_page(file, "us")
        check_escapes(pathlib.Path(folder))
        for name, *options in (("light", "--window-size=1200,7500"),
                               ("dark", "--window-size=1200,7500", "--blink-settings=preferredColorScheme=0"),
                               ("narrow", "--window-size=500,9000")):
            picture = ARTEFACTS / f"{name}.png"
            chromium(page, f"--screenshot={picture}", *options)
            check(f"a screenshot ({name}) is kept in {ARTEFACTS}", picture.exists() and picture.stat().st_size > 50000)
        printed = ARTEFACTS / "page.pdf"
        chromium(page, f"--print-to-pdf={printed}", "--no-pdf-header-footer")
        check("the page prints", printed.exists() and printed.read_bytes().count(b"/Type /Page\n") >= 4)
        shutil.copy(page, ARTEFACTS / "page.html")
        wrong = subprocess.run([BRINECAST, "report", file, "--out", pathlib.Path(folder) / "no" / "page.html"],
                               capture_output=True, text=True)
        check("a page that cannot be written is one line and exit code 1",
              wrong.returncode == 1 and wrong.stderr.count("\n") == 1, wrong.stderr)
    return sum_up()


if __name__ == "__main__":
    sys.exit(main())
