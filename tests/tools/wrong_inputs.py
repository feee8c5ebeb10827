"""Wrong words, files and links between them, and the exact lines that each gets. A file's text; or what to replace in it,
by what."""

WRONG_INPUTS = [
    ("an unknown command",
     "compar lane.h5",
     {}, 2,
     [
         "brinecast: unknown command compar; did you mean compare? (brinecast --help lists all)",
     ]),
    ("a mistyped option before a command",
     "--verson",
     {}, 2,
     [
         "brinecast: unknown command --verson (brinecast --help lists all)",
     ]),
    ("a run of nothing",
     "run",
     {}, 2,
     [
         "brinecast run: SCENARIO is missing: scenario (TOML), or a result file to run again (brinecast run "
         "--help lists all)",
     ]),
    ("a run into nothing",
     "run lane.toml",
     {}, 2,
     [
         "brinecast run: the option '--out' is required but missing (brinecast run --help lists all)",
     ]),
    ("an option that is none",
     "run lane.toml --out a.h5 --replicats 3",
     {}, 2,
     [
         "brinecast run: unknown option --replicats; did you mean --replicates? (brinecast run --help lists all)",
     ]),
    ("an option like none",
     "run lane.toml --out a.h5 --zzzz 3",
     {}, 2,
     [
         "brinecast run: unknown option --zzzz (brinecast run --help lists all)",
     ]),
    ("-3 replicates",
     "run lane.toml --out a.h5 --replicates -3",
     {}, 2,
     [
         'brinecast run: --replicates takes a whole number of at least 1, for example 20, not "-3" (brinecast '
         'run --help lists all)',
     ]),
    ("0 replicates",
     "run lane.toml --out a.h5 --replicates 0",
     {}, 2,
     [
         'brinecast run: --replicates takes a whole number of at least 1, for example 20, not "0" (brinecast run '
         '--help lists all)',
     ]),
    ("1.5 replicates",
     "run lane.toml --out a.h5 --replicates 1.5",
     {}, 2,
     [
         'brinecast run: --replicates takes a whole number of at least 1, for example 20, not "1.5" (brinecast '
         'run --help lists all)',
     ]),
    ("many replicates",
     "run lane.toml --out a.h5 --replicates many",
     {}, 2,
     [
         'brinecast run: --replicates takes a whole number of at least 1, for example 20, not "many" (brinecast '
         'run --help lists all)',
     ]),
    ("99999999999 replicates",
     "run lane.toml --out a.h5 --replicates 99999999999",
     {}, 2,
     [
         'brinecast run: --replicates takes a whole number of at least 1, for example 20, not "99999999999" '
         '(brinecast run --help lists all)',
     ]),
    ("more replicates than the limit",
     "run lane.toml --out a.h5 --replicates 100001",
     {}, 2,
     [
         "brinecast run: --replicates: 100001 is more than 100000, the largest accepted",
     ]),
    ("more threads than the limit",
     "run lane.toml --out a.h5 --threads 1025",
     {}, 2,
     [
         "brinecast run: --threads: 1025 is more than 1024, the largest accepted",
     ]),
    ("seed -1",
     "run lane.toml --out a.h5 --seed -1",
     {}, 2,
     [
         'brinecast run: --seed takes a whole number from 0 to 18446744073709551615, not "-1" (brinecast run '
         '--help lists all)',
     ]),
    ("seed x",
     "run lane.toml --out a.h5 --seed x",
     {}, 2,
     [
         'brinecast run: --seed takes a whole number from 0 to 18446744073709551615, not "x" (brinecast run '
         '--help lists all)',
     ]),
    ("seed 99999999999999999999",
     "run lane.toml --out a.h5 --seed 99999999999999999999",
     {}, 2,
     [
         'brinecast run: --seed takes a whole number from 0 to 18446744073709551615, not "99999999999999999999" '
         '(brinecast run --help lists all)',
     ]),
    ("no threads",
     "run lane.toml --out a.h5 --threads 0",
     {}, 2,
     [
         'brinecast run: --threads takes a whole number of at least 1, for example 20, not "0" (brinecast run '
         '--help lists all)',
     ]),
    ("shard 3/2",
     "run lane.toml --out a.h5 --shard 3/2",
     {}, 2,
     [
         'brinecast run: --shard takes i/n with 1 <= i <= n, for example 2/8, not "3/2" (brinecast run --help '
         'lists all)',
     ]),
    ("shard 2",
     "run lane.toml --out a.h5 --shard 2",
     {}, 2,
     [
         'brinecast run: --shard takes i/n with 1 <= i <= n, for example 2/8, not "2" (brinecast run --help '
         'lists all)',
     ]),
    ("shard a/b",
     "run lane.toml --out a.h5 --shard a/b",
     {}, 2,
     [
         'brinecast run: --shard takes i/n with 1 <= i <= n, for example 2/8, not "a/b" (brinecast run --help '
         'lists all)',
     ]),
    ("shard 0/3",
     "run lane.toml --out a.h5 --shard 0/3",
     {}, 2,
     [
         'brinecast run: --shard takes i/n with 1 <= i <= n, for example 2/8, not "0/3" (brinecast run --help '
         'lists all)',
     ]),
    ("policies weakly",
     "run lane.toml --out a.h5 --policies weakly",
     {}, 2,
     [
         'brinecast run: --policies: lane.toml has no policy "weakly"; did you mean weekly?',
     ]),
    ("policies weekly,weekly",
     "run lane.toml --out a.h5 --policies weekly,weekly",
     {}, 2,
     [
         'brinecast run: --policies names "weekly" twice; name each policy once',
     ]),
    ("policies ,",
     "run lane.toml --out a.h5 --policies ,",
     {}, 2,
     [
         "brinecast run: --policies names no policy; lane.toml has weekly, fortnightly",
     ]),
    ("policies zebra",
     "run lane.toml --out a.h5 --policies zebra",
     {}, 2,
     [
         'brinecast run: --policies: lane.toml has no policy "zebra"; it has weekly, fortnightly',
     ]),
    ("an option given twice",
     "run lane.toml --out a.h5 --seed 1 --seed 2",
     {}, 2,
     [
         "brinecast run: option '--seed' cannot be specified more than once (brinecast run --help lists all)",
     ]),
    ("an option without its value",
     "run lane.toml --out",
     {}, 2,
     [
         "brinecast run: the required argument for option '--out' is missing (brinecast run --help lists all)",
     ]),
    ("a word too many",
     "check lane.toml lane.toml",
     {}, 2,
     [
         "brinecast check: too many words (brinecast check --help lists all)",
     ]),
    ("an interval that no plan of rounds can hold",
     "check lane.toml",
     {
         "lane.toml": ('"14 d"', '"200 d"'),
     }, 1,
     [
         "lane.toml:49:19: policies.fortnightly.visits.interval: the plan of rounds repeats after 60 working days at "
         "the latest, and on its days a visit due after 200 d comes after 168 d; write at most 84 d",
     ]),
    ("a scenario that is not there",
     "run nowhere.toml --out a.h5",
     {}, 1,
     [
         "nowhere.toml: there is no such file; check the path",
     ]),
    ("a scenario that is a folder",
     "check folder",
     {}, 1,
     [
         "folder: this is a folder; name a file",
     ]),
    ("a folder that is not there",
     "run lane.toml --out no/a.h5",
     {}, 1,
     [
         "brinecast run: --out no/a.h5: the folder no does not exist",
     ]),
    ("a folder to write to",
     "run lane.toml --out folder",
     {}, 1,
     [
         "brinecast run: --out folder: is not a regular file; name one",
     ]),
    ("a file that is there",
     "run lane.toml --out lane.h5",
     {}, 1,
     [
         "brinecast run: lane.h5 is already there; give --replace, or another name to --out",
     ]),
    ("an empty name to write to",
     "run lane.toml --out ''",
     {}, 1,
     [
         "brinecast run: --out is empty; name a file",
     ]),
    ("an empty name for a page",
     "report lane.h5 --out ''",
     {}, 1,
     [
         "brinecast report: --out is empty; name a file",
     ]),
    ("a name that no file system takes",
     "run lane.toml --out " + 300 * "x",
     {}, 1,
     [
         "brinecast run: --out " + 300 * "x" + ": cannot be looked up (File name too long); give another name",
     ]),
    ("a name that no file system takes, for rounds",
     "rounds lane.toml --out " + 300 * "x",
     {}, 1,
     [
         "brinecast rounds: --out " + 300 * "x" + ": cannot be looked up (File name too long); give another name",
     ]),
    ("a merge into a name that no file system takes",
     "merge " + 300 * "x" + " lane.h5",
     {}, 1,
     [
         'brinecast merge: "' + 300 * "x" + '" is no name for a file; give another',
     ]),
    ("a scenario to be replaced by its results",
     "run lane.toml --out ./lane.toml --replace",
     {}, 1,
     [
         "brinecast run: --out ./lane.toml: is a file that is read and would be lost; give another name",
     ]),
    ("a climate to be replaced by rounds",
     "rounds lane.toml --out climate.csv",
     {}, 1,
     [
         "brinecast rounds: --out climate.csv: is a file that is read and would be lost; give another name",
     ]),
    ("a pipe for a result file",
     "compare pipe",
     {}, 1,
     [
         "brinecast compare: pipe: is not a regular file; name a result file",
     ]),
    ("a pipe for a part of a run",
     "merge new.h5 pipe",
     {}, 1,
     [
         "brinecast merge: pipe: is not a regular file; name one",
     ]),
    ("a pipe for a scenario",
     "run pipe --out a.h5",
     {}, 1,
     [
         "pipe: this is not a regular file; name one",
     ]),
    ("compare without its words",
     "compare",
     {}, 2,
     [
         "brinecast compare: FILE.h5 is missing: result file written by brinecast run (brinecast compare --help "
         "lists all)",
     ]),
    ("supplies without its words",
     "supplies",
     {}, 2,
     [
         "brinecast supplies: FILE.h5 is missing: result file written by brinecast run (brinecast supplies "
         "--help lists all)",
     ]),
    ("why lane.h5 without its words",
     "why lane.h5",
     {}, 2,
     [
         "brinecast why: the option '--pool' is required but missing (brinecast why --help lists all)",
     ]),
    ("report lane.h5 without its words",
     "report lane.h5",
     {}, 2,
     [
         "brinecast report: the option '--out' is required but missing (brinecast report --help lists all)",
     ]),
    ("rounds without its words",
     "rounds",
     {}, 2,
     [
         "brinecast rounds: SCENARIO is missing: scenario file (TOML) (brinecast rounds --help lists all)",
     ]),
    ("weather without its words",
     "weather",
     {}, 2,
     [
         "brinecast weather: SCENARIO|FILE is missing: a scenario (.toml), or a weather file: TMY3, TMY2, EPW, "
         "GHCN-Daily, a table of hours, days or monthly figures (brinecast weather --help lists all)",
     ]),
    ("merge without its words",
     "merge",
     {}, 2,
     [
         "brinecast merge: FILE.h5 is missing: result file to write (brinecast merge --help lists all)",
     ]),
    ("merge new.h5 without its words",
     "merge new.h5",
     {}, 2,
     [
         "brinecast merge: PART is missing: files that the shards left (brinecast merge --help lists all)",
     ]),
    ("an unknown format",
     "compare lane.h5 --format xml",
     {}, 2,
     [
         'brinecast compare: --format takes one of text, csv, json, not "xml" (brinecast compare --help lists all)',
     ]),
    ("unknown units",
     "compare lane.h5 --units metric",
     {}, 2,
     [
         'brinecast compare: --units takes one of si, us, not "metric" (brinecast compare --help lists all)',
     ]),
    ("an unknown baseline",
     "compare lane.h5 --baseline weakly",
     {}, 1,
     [
         'brinecast compare: lane.h5: there is no policy "weakly"; did you mean "weekly"?',
     ]),
    ("an unknown figure",
     "compare lane.h5 --figure vists",
     {}, 1,
     [
         'brinecast compare: no figure of single pools is called "vists"; did you mean visits?',
     ]),
    ("an unknown grouping",
     "compare lane.h5 --by colour",
     {}, 2,
     [
         'brinecast compare: --by takes one of class, neighbourhood, month, not "colour" (brinecast compare '
         '--help lists all)',
     ]),
    ("an unknown policy of supplies",
     "supplies lane.h5 --policy weakly",
     {}, 1,
     [
         'brinecast supplies: lane.h5: there is no policy "weakly"; did you mean "weekly"?',
     ]),
    ("an unknown pool",
     "why lane.h5 --pool Pond",
     {}, 1,
     [
         'brinecast why: lane.h5: there is no pool "Pond"; the file has "Pool 1", "Pool 2"',
     ]),
    ("a replicate below the first",
     "why lane.h5 --pool 'Pool 1' --replicate -1",
     {}, 2,
     [
         'brinecast why: --replicate takes a whole number from 0 to 4294967295, not "-1" (brinecast why --help lists all)',
     ]),
    ("days in the wrong order",
     "why lane.h5 --pool 'Pool 1' --from 2027-03-03 --to 2027-03-02",
     {}, 2,
     [
         "brinecast why: --to lies before --from; exchange them",
     ]),
    ("a name that would steer the terminal",
     "compare 'a\x1b[31m\nb.h5'",
     {}, 1,
     [
         "brinecast compare: a\\x1b[31m\\x0ab.h5: cannot be opened; is the name right?",
     ]),
    ("a day that is none",
     "why lane.h5 --pool 'Pool 1' --from 2027-13-01",
     {}, 2,
     [
         'brinecast why: --from takes a date, for example 2027-03-01, not "2027-13-01" (brinecast why --help '
         'lists all)',
     ]),
    ("an unknown policy of rounds",
     "rounds lane.toml --policy weakly",
     {}, 2,
     [
         'brinecast rounds: the scenario has no policy "weakly"; did you mean weekly?',
     ]),
    ("an unknown form of rounds",
     "rounds lane.toml --format doc",
     {}, 2,
     [
         'brinecast rounds: --format takes one of text, json, geojson, gpx, ics, not "doc" (brinecast rounds '
         '--help lists all)',
     ]),
    ("a crew for the sheets of single days",
     "rounds lane.toml --crew --out folder",
     {}, 2,
     [
         "brinecast rounds: --crew makes one page, and --out folder is a folder; name a file",
     ]),
    ("a crew for a map",
     "rounds lane.toml --crew --format gpx",
     {}, 2,
     [
         "brinecast rounds: --crew goes with --format text or json",
     ]),
    ("mapped pools into a folder",
     "rounds roads.toml --mapped-pools --out folder",
     {}, 2,
     [
         "brinecast rounds: --mapped-pools makes one list, and --out folder is a folder; name a file",
     ]),
    ("mapped pools with what only a plan has",
     "rounds roads.toml --mapped-pools --format json",
     {}, 2,
     [
         "brinecast rounds: --mapped-pools makes no plan, and --format would be without effect; leave one of them out",
     ]),
    ("mapped pools with a crew",
     "rounds roads.toml --mapped-pools --crew",
     {}, 2,
     [
         "brinecast rounds: --mapped-pools makes no plan, and --crew would be without effect; leave one of them out",
     ]),
    ("a merge over a file that is there",
     "merge lane.h5 lane.h5",
     {}, 1,
     [
         "brinecast merge: lane.h5 is already there; choose another name",
     ]),
    ("a merge of what is no part",
     "merge new.h5 lane.toml",
     {}, 1,
     [
         'brinecast merge: lane.toml: is no journal of a run (it does not begin with "BRNJRN01"); check the '
         'name, or move it out of the way',
     ]),
    ("a merge of nothing there",
     "merge new.h5 part.h5",
     {}, 1,
     [
         "brinecast merge: part.h5: cannot be opened (No such file or directory)",
     ]),
    ("resuming what is another run's",
     "run lane.toml --out other.h5 --resume",
     {
         "other.h5.partial": "not a journal at all",
     }, 1,
     [
         'brinecast run: other.h5.partial: is no journal of a run (it does not begin with "BRNJRN01"); check the '
         'name, or move it out of the way',
     ]),
    ("a result file that is not there",
     "compare nowhere.h5",
     {}, 1,
     [
         "brinecast compare: nowhere.h5: cannot be opened; is the name right?",
     ]),
    ("a folder for a result file",
     "compare folder",
     {}, 1,
     [
         "brinecast compare: folder: is empty or a directory, not a result file",
     ]),
    ("an empty result file",
     "compare empty.h5",
     {
         "empty.h5": "",
     }, 1,
     [
         "brinecast compare: empty.h5: is empty or a directory, not a result file",
     ]),
    ("a scenario for a result file",
     "compare lane.toml",
     {}, 1,
     [
         "brinecast compare: lane.toml: is no HDF5 file; a result file is what `brinecast run --out` wrote",
     ]),
    ("half a result file",
     "compare half.h5",
     {}, 1,
     [
         "brinecast compare: half.h5: is damaged or cut off (H5File::openFile: H5Fopen failed); run it again or "
         "restore a copy",
     ]),
    ("a foreign HDF5 file",
     "compare foreign.h5",
     {}, 1,
     [
         'brinecast compare: foreign.h5: is not a result file of this program: its file_type is "", expected '
         '"brinecast results"; name a file that `brinecast run` wrote',
     ]),
    ("weather that is not there",
     "weather nowhere.csv",
     {}, 1,
     [
         "nowhere.csv: the file does not exist; check the path, which counts from the scenario's folder",
     ]),
    ("a folder of weather",
     "weather folder",
     {}, 1,
     [
         "folder: this is not a file; name a weather file",
     ]),
    ("weather: empty",
     "weather day.csv",
     {
         "day.csv": "",
     }, 1,
     [
         "day.csv: the file is empty; get it again from its source",
     ]),
    ("weather: prose",
     "weather day.csv",
     {
         "day.csv": "Dear reader,\nthe weather is fine.\n",
     }, 1,
     [
         "day.csv:1: the format is not known; TMY3, TMY2, EPW, GHCN-Daily, a table of hours or days with a unit "
         "in each header, or monthly climate figures are read",
     ]),
    ("weather: semicolons",
     "weather day.csv",
     {
         "day.csv": "time;air_temperature [degC];rain [mm]\n2027-01-01 01:00;1;0\n",
     }, 1,
     [
         "day.csv:1: the format is not known; TMY3, TMY2, EPW, GHCN-Daily, a table of hours or days with a unit "
         "in each header, or monthly climate figures are read",
     ]),
    ("weather: wrong unit",
     "weather day.csv",
     {
         "day.csv": "date,rain [degC],high [degC],low [degC]\n2027-01-01,1,9,2\n",
     }, 1,
     [
         "day.csv:1: column rain: [degC] does not measure a depth (degC is a temperature); write for example "
         "rain [mm]",
     ]),
    ("weather: bad number",
     "weather day.csv",
     {
         "day.csv": "date,rain [mm],high [degC],low [degC]\n2027-01-01,one,9,2\n",
     }, 1,
     [
         'day.csv:2: column rain: "one" is not a number; leave unknown cells empty',
     ]),
    ("weather: bad date",
     "weather day.csv",
     {
         "day.csv": "date,rain [mm],high [degC],low [degC]\n2027-02-30,1,9,2\n",
     }, 1,
     [
         'day.csv:2: "2027-02-30" is not a date; write for example 2031-07-14',
     ]),
    ("weather: out of range",
     "weather day.csv",
     {
         "day.csv": "date,rain [mm],high [degC],low [degC]\n2027-01-01,1,900,2\n",
     }, 1,
     [
         "day.csv:2: column high: 900 degC does not occur on Earth; check the unit in the header",
     ]),
    ("weather: few cells",
     "weather day.csv",
     {
         "day.csv": "date,rain [mm],high [degC],low [degC]\n2027-01-01,1,9\n",
     }, 1,
     [
         "day.csv:2: the row has 3 fields and the header 4; the file seems cut or its separators are mixed",
     ]),
    ("weather: high below low",
     "weather day.csv",
     {
         "day.csv": "date,rain [mm],high [degC],low [degC]\n2027-01-01,1,2,9\n",
     }, 1,
     [
         "day.csv:2: the day's highest temperature is below its lowest; check the columns",
     ]),
    ("weather: no rows",
     "weather day.csv",
     {
         "day.csv": "date,rain [mm],high [degC],low [degC]\n",
     }, 1,
     [
         "day.csv:1: the table has a header and no rows",
     ]),
    ("weather: zero bytes",
     "weather day.csv",
     {
         "day.csv": "date,rain [mm]\0\n",
     }, 1,
     [
         "day.csv: line 1 holds zero bytes; this is not a text file",
     ]),
    ("weather: epw head",
     "weather day.csv",
     {
         "day.csv": "LOCATION,Town,,,,,29,-95,-6,30\n",
     }, 1,
     [
         "day.csv:1: the file ends within its header; get it again from its source",
     ]),
    ("climate: an unknown column",
     "check lane.toml",
     {
         "climate.csv": ("dew_point", "dew_piont"),
     }, 1,
     [
         "climate.csv:10: column dew_piont: unknown column; did you mean dew_point?",
     ]),
    ("climate: a unit that is none",
     "check lane.toml",
     {
         "climate.csv": ("wind [m/s]", "wind [kg]"),
     }, 1,
     [
         "climate.csv:10: column wind: [kg] does not measure a speed (kg is a mass); write for example wind [km/h]",
     ]),
    ("climate: no unit",
     "check lane.toml",
     {
         "climate.csv": ("wind [m/s]", "wind"),
     }, 1,
     [
         "climate.csv:10: column wind: the header has no unit; write for example wind [km/h]",
     ]),
    ("climate: highs below lows",
     "check lane.toml",
     {
         "climate.csv": ("8.50,37.3,0.48,0.11,19.8,8.6", "8.50,37.3,0.48,0.11,1.8,8.6"),
     }, 1,
     [
         "climate.csv: month 2: high is below low; exchange them",
     ]),
    ("climate: a word for a number",
     "check lane.toml",
     {
         "climate.csv": ("1,105.8", "1,much"),
     }, 1,
     [
         'climate.csv:11: column rain: "much" is not a number; write for example 12.5',
     ]),
    ("climate: too hot",
     "check lane.toml",
     {
         "climate.csv": ("35.4,24.7", "135.4,24.7"),
     }, 1,
     [
         "climate.csv:18: column high: 135.4 is outside what occurs on Earth (-89.15 to 56.85 in the header's "
         "unit); check the unit",
     ]),
    ("climate: semicolons",
     "check lane.toml",
     {
         "climate.csv": (",", ";"),
     }, 1,
     [
         "climate.csv:10: the format is not known; TMY3, TMY2, EPW, GHCN-Daily, a table of hours or days with a "
         "unit in each header, or monthly climate figures are read",
     ]),
    ("climate: empty",
     "check lane.toml",
     {
         "climate.csv": "",
     }, 1,
     [
         "climate.csv: the file is empty; get it again from its source",
     ]),
    ("climate: a month twice",
     "check lane.toml",
     {
         "climate.csv": ("\n12,", "\n11,"),
     }, 1,
     [
         "climate.csv: month 12 is missing; give 12 rows",
         "climate.csv:22: column month: month 11 appears twice; keep one row",
     ]),
    ("roads: empty",
     "check roads.toml",
     {
         "town.osm": "",
     }, 1,
     [
         "town.osm: roads.file: cannot be read as a road extract (XML parsing error at line 1, column 0: no "
         "element found); export it again as .osm or .osm.pbf",
     ]),
    ("roads: prose",
     "check roads.toml",
     {
         "town.osm": "hello",
     }, 1,
     [
         "town.osm: roads.file: cannot be read as a road extract (XML parsing error at line 1, column 0: syntax "
         "error); export it again as .osm or .osm.pbf",
     ]),
    ("roads: no ways",
     "check roads.toml",
     {
         "town.osm": '<?xml version="1.0"?><osm version="0.6"></osm>',
     }, 1,
     [
         "town.osm: roads.file: holds no connected roads that a van may drive; take an extract that covers the "
         "pools' streets",
     ]),
    ("roads: cut off",
     "check roads.toml",
     {
         "town.osm": '<?xml version="1.0"?><osm version="0.6"><way id="1">',
     }, 1,
     [
         "town.osm: roads.file: cannot be read as a road extract (XML parsing error at line 1, column 52: no "
         "element found); export it again as .osm or .osm.pbf",
     ]),
    ("travel times: wrong header",
     "check times.toml",
     {
         "times.csv": "from;to\n",
     }, 1,
     [
         "times.csv:1: the columns are separated by semicolons; separate them by commas, with a decimal point in "
         "numbers",
     ]),
    ("travel times: a misspelt place",
     "check times.toml",
     {
         "times.csv": "from,to,time (s),distance (m)\nPool 1,Pool 2,60,500\nPool 1,end:Ada Thornwick,60,500\nPol "
                      "2,Pool 1,60,500\nPool 2,end:Ada Thornwick,60,500\nstart:Ada Thornwick,Pool "
                      "1,60,500\nstart:Ada Thornwick,Pool 2,60,500\nstart:Ada Thornwick,end:Ada "
                      "Thornwick,60,500\n",
     }, 1,
     [
         "times.csv: the drive from Pool 1 to start:Ada Thornwick is missing; add a line for it",
         "times.csv: the drive from Pool 2 to Pool 1 is missing; add a line for it",
         "times.csv: the drive from Pool 2 to start:Ada Thornwick is missing; add a line for it",
         'times.csv:4: from: "Pol 2" is neither a pool nor start:NAME or end:NAME of a technician; did you mean '
         'Pool 2?',
     ]),
    ("travel times: negative time",
     "check times.toml",
     {
         "times.csv": "from,to,time (s),distance (m)\nPool 1,Pool 2,-60,500\nPool 1,end:Ada "
                      "Thornwick,60,500\nPool 2,Pool 1,60,500\nPool 2,end:Ada Thornwick,60,500\nstart:Ada "
                      "Thornwick,Pool 1,60,500\nstart:Ada Thornwick,Pool 2,60,500\nstart:Ada Thornwick,end:Ada "
                      "Thornwick,60,500\n",
     }, 1,
     [
         "times.csv: the drive from Pool 1 to Pool 2 is missing; add a line for it",
         "times.csv: the drive from Pool 1 to start:Ada Thornwick is missing; add a line for it",
         "times.csv: the drive from Pool 2 to start:Ada Thornwick is missing; add a line for it",
         'times.csv:2: time (s): "-60" is not a time of at least 0; write seconds',
     ]),
    ("travel times: three fields",
     "check times.toml",
     {
         "times.csv": "from,to,time (s),distance (m)\nPool 1,Pool 2,60,500\nPool 1,end:Ada "
                      "Thornwick,60,500\nPool 2,Pool 1,60,500\nPool 2,end:Ada Thornwick,60,500\nstart:Ada "
                      "Thornwick,Pool 1,60,500\nstart:Ada Thornwick,Pool 2,60,500\nstart:Ada Thornwick,end:Ada "
                      "Thornwick,60,500\nPool 1,Pool 2,60\n",
     }, 1,
     [
         "times.csv: the drive from Pool 1 to start:Ada Thornwick is missing; add a line for it",
         "times.csv: the drive from Pool 2 to start:Ada Thornwick is missing; add a line for it",
         "times.csv:9: the row has 3 cells and the header 4; leave unknown cells empty, but keep their commas",
     ]),
    ("travel times: a missing drive",
     "check times.toml",
     {
         "times.csv": "from,to,time (s),distance (m)\nPool 1,end:Ada Thornwick,60,500\nPool 2,Pool "
                      "1,60,500\nPool 2,end:Ada Thornwick,60,500\nstart:Ada Thornwick,Pool 1,60,500\nstart:Ada "
                      "Thornwick,Pool 2,60,500\nstart:Ada Thornwick,end:Ada Thornwick,60,500\n",
     }, 1,
     [
         "times.csv: the drive from Pool 1 to Pool 2 is missing; add a line for it",
         "times.csv: the drive from Pool 1 to start:Ada Thornwick is missing; add a line for it",
         "times.csv: the drive from Pool 2 to start:Ada Thornwick is missing; add a line for it",
     ]),
    ("travel times: nothing",
     "check times.toml",
     {
         "times.csv": "from,to,time (s),distance (m)\n",
     }, 1,
     [
         "times.csv: the drive from Pool 1 to Pool 2 is missing; add a line for it",
         "times.csv: the drive from Pool 1 to start:Ada Thornwick is missing; add a line for it",
         "times.csv: the drive from Pool 1 to end:Ada Thornwick is missing; add a line for it",
         "times.csv: 6 more drives are missing",
     ]),
    ("travel times: a word for a distance",
     "check times.toml",
     {
         "times.csv": "from,to,time (s),distance (m)\nPool 1,Pool 2,60,far\nPool 1,end:Ada "
                      "Thornwick,60,500\nPool 2,Pool 1,60,500\nPool 2,end:Ada Thornwick,60,500\nstart:Ada "
                      "Thornwick,Pool 1,60,500\nstart:Ada Thornwick,Pool 2,60,500\nstart:Ada Thornwick,end:Ada "
                      "Thornwick,60,500\n",
     }, 1,
     [
         "times.csv: the drive from Pool 1 to Pool 2 is missing; add a line for it",
         "times.csv: the drive from Pool 1 to start:Ada Thornwick is missing; add a line for it",
         "times.csv: the drive from Pool 2 to start:Ada Thornwick is missing; add a line for it",
         'times.csv:2: distance (m): "far" is not a distance of at least 0; write metres',
     ]),
    ("pools: empty",
     "check list.toml",
     {
         "pools.csv": "",
     }, 1,
     [
         "pools.csv: the table is empty; write a header row and a row for each entry",
     ]),
    ("pools: no pools",
     "check list.toml",
     {
         "pools.csv": "name,longitude,latitude,water_volume [m3]\n",
     }, 1,
     [
         "pools.csv: the list has no pools; write a row for each",
     ]),
    ("pools: a misspelt column",
     "check list.toml",
     {
         "pools.csv": "name,longitude,latitude,watr_volume [m3]\nA,-93,28.2,50\n",
     }, 1,
     [
         "pools.csv:1: column watr_volume: unknown column; did you mean water_volume?",
     ]),
    ("pools: a name twice",
     "check list.toml",
     {
         "pools.csv": "name,longitude,latitude,water_volume [m3]\nA,-93,28.2,50\nA,-93,28.2,50\n",
     }, 1,
     [
         'pools.csv:3: column name: "A" stands in line 2 already; give each pool its own name',
     ]),
    ("pools: gallons as cubic metres",
     "check list.toml",
     {
         "pools.csv": "name,longitude,latitude,water_volume [m3]\nA,-93,28.2,16000\n",
     }, 1,
     [
         "pools.csv:2: column water_volume: 16000 m3 is more than 2000 m3, the largest accepted; was this in "
         "gal? write 16000 gal",
     ]),
    ("pools: a word for a number",
     "check list.toml",
     {
         "pools.csv": "name,longitude,latitude,water_volume [m3]\nA,-93,28.2,big\n",
     }, 1,
     [
         'pools.csv:2: column water_volume: "big" is not a volume (it does not start with a number); write for '
         'example "60 m3"',
     ]),
    ("pools: no latitude",
     "check list.toml",
     {
         "pools.csv": "name,longitude\nA,-93\n",
     }, 1,
     [
         "pools.csv:1: column latitude is missing; every pool needs it",
     ]),
    ("pools: semicolons",
     "check list.toml",
     {
         "pools.csv": "name;longitude;latitude;water_volume [m3]\n",
     }, 1,
     [
         "pools.csv:1: the columns are separated by semicolons; separate them by commas, with a decimal point in "
         "numbers",
     ]),
    ("pools: a quote left open",
     "check list.toml",
     {
         "pools.csv": 'name,longitude,latitude,water_volume [m3]\n"A,-93,28.2,50\n',
     }, 1,
     [
         "pools.csv: the list has no pools; write a row for each",
         'pools.csv:2: a quote opens here and is never closed; close it with "',
     ]),
    ("pools: a row too short",
     "check list.toml",
     {
         "pools.csv": "name,longitude,latitude,water_volume [m3]\nA,-93,28.2\n",
     }, 1,
     [
         "pools.csv: the list has no pools; write a row for each",
         "pools.csv:2: the row has 3 cells and the header 4; leave unknown cells empty, but keep their commas",
     ]),
    ("pools: a cell without its value",
     "check list.toml",
     {
         "pools.csv": "name,longitude,latitude,water_volume [m3]\nA,,28.2,50\n",
     }, 1,
     [
         "pools.csv:2: column longitude: the cell is empty; every pool needs a value here",
     ]),
    ("pools: places swapped",
     "check list.toml",
     {
         "pools.csv": "name,longitude,latitude,water_volume [m3]\nA,28.2,-93,50\n",
     }, 1,
     [
         "pools.csv:2: column latitude: -93 degrees is outside -90 to 90; are longitude and latitude swapped?",
     ]),
    ("everything at once",
     "check all.toml",
     {
         "pools.csv": "name,longitude,latitude,water_volume [m3]\nA,-93,28.2,-5\nA,-193,28.2,50\n",
     }, 1,
     [
         "all.toml:9:8: season.days: 0 is less than 1, the smallest accepted; write a whole number from 1 to 11346",
         "all.toml:13:16: weather.climate_file: there is no file \"nowhere.csv\"; check the path, which starts "
         "in the scenario's folder",
         "all.toml:17:1: fleet.centre: unknown key; known here: traits, elevation, count, pools",
         "all.toml:18:1: fleet.raduis: unknown key; known here: traits, elevation, count, pools",
         "all.toml:48:8: policies.weekly.visits.intervall: unknown key; did you mean interval?",
         'all.toml:49:17: policies.weekly.cell.clean_at: "sometimes" is not one of dusting, flakes, bridges, '
         'never; write one of these',
         "pools.csv:2: column water_volume: -5 m3 is less than 0.5 m3, the smallest accepted; write a value from "
         "0.5 m3 to 2000 m3",
         "pools.csv:3: column longitude: -193 degrees is outside -180 to 180; are longitude and latitude swapped?",
         'pools.csv:3: column name: "A" stands in line 2 already; give each pool its own name',
     ]),
]
