// Wrong scenarios and the exact lines that they get: file, line, column, key, what is wrong, what would be right.

#include <array>
#include <catch2/catch.hpp>

#include "tests/sim/scenario/town.hpp"

namespace brinecast::tests {

namespace {

constexpr std::array<WrongInput, 141> wrong_scenarios{{
    {"replicates = 5", "replicats = 5", "town.toml:3:1: replicats: unknown key; did you mean replicates?\n"},
    {"seed = 3", "seed = -3",
     "town.toml:2:8: seed: this is not a whole number from 0 on; write for example seed = 1\n"},
    {"seed = 3", "seed = \"three\"",
     "town.toml:2:8: seed: this is not a whole number from 0 on; write for example seed = 1\n"},
    {"replicates = 5", "replicates = 0",
     "town.toml:3:14: replicates: 0 is less than 1, the smallest accepted; write a whole number from 1 to 100000\n"},
    {"replicates = 5", "replicates = 5.5",
     "town.toml:3:14: replicates: this is a number, not a whole number; write for example replicates = 20\n"},
    {"name = \"Town\"", "name = 7",
     "town.toml:1:8: name: this is a whole number, not text; write for example \"a few words\"\n"},
    {"name = \"Town\"", "name = \"Town",
     "town.toml:1:13: this is not valid TOML (string: unescaped control characters other than TAB (U+0009) are "
     "explicitly prohibited); toml.io describes the format\n"},
    {"seed = 3", "seed = 3\nseed = 4",
     "town.toml:3:8: this is not valid TOML (key-value pair: cannot redefine existing integer 'seed'); toml.io "
     "describes the format\n"},
    {"first_day = 2027-03-01\n", "",
     "town.toml:5:1: season: first_day is missing; write for example first_day = 2027-03-01\n"},
    {"[season]\nfirst_day = 2027-03-01\nlast_day = 2027-10-31\nutc_offset = \"-6 h\"\nholidays = [2027-05-31]\n", "",
     "town.toml:1:1: season is missing; write for example [season] with first_day = 2027-03-01 and last_day = "
     "2027-10-31\n"},
    {"first_day = 2027-03-01", "first_day = \"1 March 2027\"",
     "town.toml:6:13: season.first_day: this is not a date of the years 1800 to 2200; write year-month-day, for "
     "example 2027-03-01\n"},
    {"first_day = 2027-03-01", "first_day = \"2027-02-30\"",
     "town.toml:6:13: season.first_day: this is not a date of the years 1800 to 2200; write year-month-day, for "
     "example 2027-03-01\n"},
    {"first_day = 2027-03-01", "first_day = 2027-03-01T08:00:00",
     "town.toml:6:13: season.first_day: this is a date with a time, not a date; write for example 2027-03-01\n"},
    {"last_day = 2027-10-31", "last_day = 2026-10-31",
     "town.toml:7:12: season.last_day: the season ends before it begins; write a day after first_day\n"},
    {"last_day = 2027-10-31", "last_day = 2127-10-31",
     "town.toml:7:12: season.last_day: the season is longer than 31 years; write an earlier day\n"},
    {"last_day = 2027-10-31", "last_day = 2027-10-31\ndays = 245",
     "town.toml:8:8: season.days: last_day is given too; keep one of the two\n"},
    {"last_day = 2027-10-31", "days = 0",
     "town.toml:7:8: season.days: 0 is less than 1, the smallest accepted; write a whole number from 1 to 11346\n"},
    {"utc_offset = \"-6 h\"", "utc_offset = -6",
     "town.toml:8:14: season.utc_offset: -6 has no unit; a length of time is text with its unit, write for example "
     "\"-6 h\"\n"},
    {"utc_offset = \"-6 h\"", "utc_offset = \"-6 miles\"",
     "town.toml:8:14: season.utc_offset: \"-6 miles\" is not a length of time (miles is a length); write for example "
     "\"7 d\"\n"},
    {"utc_offset = \"-6 h\"", "utc_offset = \"20 h\"",
     "town.toml:8:14: season.utc_offset: 20 h is more than 14 h, the largest accepted; write a value from -14 h to 14 "
     "h\n"},
    {"holidays = [2027-05-31]", "holidays = 2027-05-31",
     "town.toml:9:12: season.holidays: this is a date, not a list; write for example [2027-05-01, 2027-12-25]\n"},
    {"utc_offset = \"-6 h\"", "utc_offset = \"6 h\"",
     "town.toml:8:14: season.utc_offset: with 6 h the sun would stand highest 12 h from noon; by its longitude the "
     "fleet "
     "has \"-6 h\"\n"},
    {"[depot]\nlongitude = -93.0", "[depot]\nlongitude = 93.0",
     "town.toml:37:1: technicians: the start of \"Mara\" lies 13711 km from the middle of the fleet; check the signs "
     "of "
     "longitude and latitude\n"},
    {"longitude = -93.0\nlatitude = 28.2\nelevation", "longitude = -93.0\nlatitude = -28.2\nelevation",
     "town.toml:11:1: sites: \"hill\" lies 6272 km from the middle of the fleet; check the signs of longitude and "
     "latitude\n"},
    {"shift_length = \"8 h\"\nbreak = \"30 min\"", "shift_length = \"4 h\"\nbreak = \"4 h\"",
     "town.toml:41:9: technicians[1].break: the break is as long as the shift, and nobody would work; shorten it\n"},
    {"name = \"Tobin\"", "name = \"Tobin \"",
     "town.toml:46:8: technicians[2].name: the name begins or ends with a blank; remove it\n"},
    {"name = \"Tobin\"", "name = \"To\\u009bbin\"",
     "town.toml:46:8: technicians[2].name: the text holds control characters; write it on one line\n"},
    {"[fill_water.mains]", "[fill_water.\"\"]\n[fill_water.mains]",
     "town.toml:26:1: fill_water: the name is empty; write one\n"},
    {"visits.interval = \"7 d\"", "visits.interval = \"18 min\"",
     "town.toml:77:19: policies.weekly.visits.interval: 18 min is less than 12 h, the smallest accepted; was this in "
     "h? "
     "write 18 h\n"},
    {"[policies.weekly]", "[policies.\"a,b\"]",
     "town.toml:76:1: policies.a,b: the name holds a comma, at which lists of policies are split; write it without\n"},
    {"[policies.weekly]", "[policies.\"a\\u001b[31m\"]",
     "town.toml:76:1: policies.a\\x1b[31m: the text holds control characters; write it on one line\n"},
    {"salt = \"100 mg/L\"", "salt = \"1 50 mg/L\"",
     "town.toml:27:8: fill_water.mains.salt: \"1 50 mg/L\" is not a concentration (unit unknown); write for example "
     "\"3200 ppm\"\n"},
    {"utc_offset = \"-6 h\"", "utc_ofset = \"-6 h\"",
     "town.toml:8:1: season.utc_ofset: unknown key; did you mean utc_offset?\n"},
    {"longitude = -93.0\nlatitude = 28.2\nelevation", "longitude = -193.0\nlatitude = 28.2\nelevation",
     "town.toml:13:13: sites[1].longitude: -193 is less than -180, the smallest accepted; write a value from -180 to "
     "180\n"},
    {"latitude = 28.2\nelevation = \"40 m\"", "elevation = \"40 m\"",
     "town.toml:11:1: sites[1]: latitude is missing; write for example latitude = 34.1765\n"},
    {"elevation = \"40 m\"", "elevation = \"40000 m\"",
     "town.toml:15:13: sites[1].elevation: 40000 m is more than 6000 m, the largest accepted; write a value from -450 "
     "m to 6000 m\n"},
    {"name = \"hill\"", "name = \"\"",
     "town.toml:12:8: sites[1].name: the name is empty; write one\n"
     "pools.csv:2: column site: \"hill\" is unknown; the scenario names none, so leave this out\n"
     "pools.csv:3: column site: \"hill\" is unknown; the scenario names none, so leave this out\n"},
    {"[[sites]]", "[sites]",
     "town.toml:11:1: sites: this is a table, not a list of tables; write for example [[sites]]\n"
     "pools.csv:2: column site: \"hill\" is unknown; the scenario names none, so leave this out\n"
     "pools.csv:3: column site: \"hill\" is unknown; the scenario names none, so leave this out\n"},
    {"kind = \"generated\"", "kind = \"genrated\"",
     "town.toml:18:8: weather.kind: \"genrated\" is not one of generated, measured, resampled; did you mean "
     "\"generated\"?\n"},
    {"kind = \"generated\"", "kind = \"rainy\"",
     "town.toml:18:8: weather.kind: \"rainy\" is not one of generated, measured, resampled; write one of these\n"},
    {"kind = \"generated\"", "kind = \"measured\"",
     "town.toml:17:1: weather: hourly_file is missing; write for example hourly_file = \"year.csv\"\n"},
    {"climate_file = \"climate.csv\"", "climate_file = \"climat.csv\"",
     "town.toml:19:16: weather.climate_file: there is no file \"climat.csv\"; check the path, which starts in the "
     "scenario's folder\n"},
    {"climate_file = \"climate.csv\"", "climate_file = \".\"",
     "town.toml:19:16: weather.climate_file: \".\" is not a regular file; name one\n"},
    {"climate_file = \"climate.csv\"", "climate_file = 3",
     "town.toml:19:16: weather.climate_file: this is a whole number, not text; write for example "
     "\"folder/file.csv\"\n"},
    {"rain_factor = 1.0", "rain_factor = -0.5",
     "town.toml:20:15: weather.rain_factor: -0.5 is less than 0, the smallest accepted; write a value from 0 to 100\n"},
    {"rain_factor = 1.0", "rain_factor = \"1.0\"",
     "town.toml:20:15: weather.rain_factor: this is text, not a plain number; write for example rain_factor = 1\n"},
    {"rain_factor = 1.0", "rain_factor = nan",
     "town.toml:20:15: weather.rain_factor: the number is not finite; write for example rain_factor = 1\n"},
    {"warming = \"0 K\"", "warming = \"2 kg\"",
     "town.toml:21:11: weather.warming: \"2 kg\" is not a change of temperature (kg is a mass); write for example \"2 "
     "K\"\n"},
    {"warming = \"0 K\"", "warming = \"0 K\"\n[[weather.storms]]\nday = 2027-05-01\nrain = \"60 mm\"",
     "town.toml:22:1: weather.storms[1]: duration is missing; write for example duration = \"6 h\"\n"},
    {"warming = \"0 K\"",
     "warming = \"0 K\"\n[[weather.heat_waves]]\nfirst_day = 2027-05-01\ndays = 5\nwarming = \"50 K\"",
     "town.toml:25:11: weather.heat_waves[1].warming: 50 K is more than 30 K, the largest accepted; write a value from "
     "-30 K to 30 K\n"},
    {"warming = \"0 K\"",
     "warming = \"0 K\"\n[[weather.storms]]\nday = 2026-05-01\nrain = \"60 mm\"\nduration = \"6 h\"",
     "town.toml:23:7: weather.storms[1].day: the storm lies outside the season and would never come; write a day of "
     "the season\n"},
    {"warming = \"0 K\"",
     "warming = \"0 K\"\n[[weather.heat_waves]]\nfirst_day = 2027-12-01\ndays = 5\nwarming = \"5 K\"",
     "town.toml:23:13: weather.heat_waves[1].first_day: the heat wave lies outside the season and would never come; "
     "write a day of the season\n"},
    {"pools = \"pools.csv\"", "pools = \"pool.csv\"",
     "town.toml:24:9: fleet.pools: there is no file \"pool.csv\"; check the path, which starts in the scenario's "
     "folder\n"},
    {"pools = \"pools.csv\"\n", "",
     "town.toml:23:1: fleet: pools is missing; write for example pools = \"pools.csv\", or count = 200 for a generated "
     "fleet\n"},
    {"pools = \"pools.csv\"", "pools = \"pools.csv\"\ncount = 10",
     "town.toml:25:9: fleet.count: the fleet has a list of pools too; keep one of the two\n"},
    {"pools = \"pools.csv\"", "count = 10",
     "town.toml:23:1: fleet: centre is missing; write for example centre = { longitude = -117.3021, latitude = 34.1765 "
     "}\n"},
    {"pools = \"pools.csv\"", "count = 10\ncentre = { longitude = -93.0, latitude = 28.2 }\nradius = \"5\"",
     "town.toml:26:10: fleet.radius: \"5\" is not a distance (the unit is missing); write for example \"12 km\"\n"},
    {"pools = \"pools.csv\"", "pools = \"pools.csv\"\ntraits.water_volume = { median = \"60 m3\" }",
     "town.toml:25:23: fleet.traits.water_volume: spread is missing; write for example spread = 0.3\n"},
    {"pools = \"pools.csv\"", "pools = \"pools.csv\"\ntraits.cover = { none = 0.7, bubbles = 0.3 }",
     "town.toml:25:40: fleet.traits.cover.bubbles: \"bubbles\" is unknown; did you mean \"bubble\"?\n"},
    {"pools = \"pools.csv\"", "pools = \"pools.csv\"\ntraits.cover = { none = \"70 %\", solid = \"20 %\" }",
     "town.toml:25:16: fleet.traits.cover: the shares add up to 90 %; let them add up to 100 %\n"},
    {"pools = \"pools.csv\"", "pools = \"pools.csv\"\ntraits.sun_exposre = \"80 %\"",
     "town.toml:25:8: fleet.traits.sun_exposre: unknown key; did you mean sun_exposure?\n"},
    {"pools = \"pools.csv\"", "pools = \"pools.csv\"\ntraits.pump_hours = { low = \"12 h\", high = \"8 h\" }",
     "town.toml:25:44: fleet.traits.pump_hours.high: the highest value is less than the lowest; swap them\n"},
    {"salt = \"100 mg/L\"", "salt = \"100 mg\"",
     "town.toml:27:8: fill_water.mains.salt: \"100 mg\" is not a concentration (mg is a mass); write for example "
     "\"3200 ppm\"\n"},
    {"salt = \"100 mg/L\"", "salt = 100",
     "town.toml:27:8: fill_water.mains.salt: 100 has no unit; a concentration is text with its unit, write for example "
     "\"100 mg/L\"\n"},
    {"calcium = \"150 mg/L as CaCO3\"", "calcium = \"150 mg/L as chalk\"",
     "town.toml:28:11: fill_water.mains.calcium: \"150 mg/L as chalk\" is not a calcium hardness (it is not counted as "
     "chalk); write for example \"250 mg/L\"\n"},
    {"ph = 7.8", "ph = 78",
     "town.toml:30:6: fill_water.mains.ph: 78 is more than 10.5, the largest accepted; write a value from 5 to 10.5\n"},
    {"temperature = \"18 degC\"", "temperature = \"180 degC\"",
     "town.toml:31:15: fill_water.mains.temperature: 180 degC is more than 50 degC, the largest accepted; write a "
     "value from 0 degC to 50 degC\n"},
    {"temperature = \"18 degC\"", "temperature = \"64 degrees\"",
     "town.toml:31:15: fill_water.mains.temperature: \"64 degrees\" is not a temperature (degrees measures something "
     "else); write for example \"28 degC\"\n"},
    {"[depot]\nlongitude = -93.0\nlatitude = 28.2\n", "",
     "town.toml:34:1: technicians[1]: start is missing; write for example start = { longitude = -117.3021, latitude = "
     "34.1765 }, or a [depot] for all\n"
     "town.toml:42:1: technicians[2]: start is missing; write for example start = { longitude = -117.3021, latitude = "
     "34.1765 }, or a [depot] for all\n"},
    {"shift_start = \"08:00\"", "shift_start = \"8am\"",
     "town.toml:39:15: technicians[1].shift_start: this is not a time of day; write hours and minutes from \"00:00\" "
     "to \"24:00\", for example \"08:30\"\n"},
    {"shift_start = \"08:00\"", "shift_start = \"23:00\"",
     "town.toml:37:1: technicians[1]: shift_start, shift_length and overtime_limit reach past midnight; shorten them "
     "or start earlier\n"},
    {"shift_length = \"8 h\"", "shift_length = \"8 hourz\"",
     "town.toml:40:16: technicians[1].shift_length: \"8 hourz\" is not a length of time (unit unknown); write for "
     "example \"7 d\"\n"},
    {"shift_length = \"8 h\"", "shift_length = \"8 min\"",
     "town.toml:40:16: technicians[1].shift_length: 8 min is less than 0.5 h, the smallest accepted; was this in h? "
     "write 8 h\n"},
    {"payload = \"400 kg\"", "payload = \"400 L\"",
     "town.toml:42:11: technicians[1].payload: \"400 L\" is not a mass (L is a volume); write for example \"20 kg\"\n"},
    {"payload = \"400 kg\"", "payload = \"1,400 kg\"",
     "town.toml:42:11: technicians[1].payload: \"1,400 kg\" is not a mass (digits are not grouped and the decimal sign "
     "is a point); write for example \"20 kg\"\n"},
    {"skills = [\"club\"]", "skills = \"club\"",
     "town.toml:43:10: technicians[1].skills: this is text, not a list; write for example [\"one\", \"two\"]\n"
     "pools.csv:3: column skill: no technician has the skill \"club\"; add it to the skills of one\n"},
    {"[[technicians]]\nname = \"Mara\"", "[[technicians]]\nname = \"Mara\"\n[[technicians]]\nname = \"Mara\"",
     "town.toml:40:8: technicians[2].name: \"Mara\" is taken already; give each its own name\n"},
    {"break = \"30 min\"", "brake = \"30 min\"",
     "town.toml:41:1: technicians[1].brake: unknown key; did you mean break?\n"},
    {"kind = \"straight_line\"", "kind = \"osm_extract\"",
     "town.toml:48:1: roads: file is missing; write for example file = \"town.osm.pbf\"\n"},
    {"kind = \"straight_line\"", "kind = \"straight line\"",
     "town.toml:49:8: roads.kind: \"straight line\" is not one of osm_extract, straight_line, matrix; did you mean "
     "\"straight_line\"?\n"},
    {"detour_factor = 1.3", "detour_factor = 0.5",
     "town.toml:50:17: roads.detour_factor: 0.5 is less than 1, the smallest accepted; write a value from 1 to 10\n"},
    {"straight_line_speed = \"35 km/h\"", "straight_line_speed = \"35 km\"",
     "town.toml:51:23: roads.straight_line_speed: \"35 km\" is not a speed (km is a length); write for example \"30 "
     "km/h\"\n"},
    {"\"monday\", \"tuesday\"", "\"monday\", \"tusday\"",
     "town.toml:54:27: rounds.working_days: \"tusday\" is not a weekday; did you mean \"tuesday\"?\n"},
    {"\"monday\", \"tuesday\"", "\"monday\", \"monday\"",
     "town.toml:54:27: rounds.working_days: \"monday\" is listed twice; write each weekday once\n"},
    {"[\"monday\", \"tuesday\"]", "[]",
     "town.toml:54:16: rounds.working_days: nobody works on any day; list at least one weekday\n"},
    {"stop_overhead = \"4 min\"", "stop_overhead = \"4 h\"",
     "town.toml:55:17: rounds.stop_overhead: 4 h is more than 1 h, the largest accepted; was this in min? write 4 "
     "min\n"},
    {"wage_per_hour = 28.0", "wage_per_hour = \"28 USD\"",
     "town.toml:59:17: prices.wage_per_hour: this is text, not a plain number; write for example wage_per_hour = 28\n"},
    {"wage_per_hour = 28.0", "wage_per_hour = -28.0",
     "town.toml:59:17: prices.wage_per_hour: -28 is less than 0, the smallest accepted; write a value from 0 to "
     "1000000\n"},
    {"wage_per_hour = 28.0", "wages_per_hour = 28.0",
     "town.toml:59:1: prices.wages_per_hour: unknown key; did you mean wage_per_hour?\n"},
    {"overtime_factor = 1.5", "overtime_factor = 0.5",
     "town.toml:60:19: prices.overtime_factor: overtime would be cheaper than the shift; write a factor of at least "
     "1\n"},
    {"salt_bag = \"20 kg\"", "salt_bag = \"20 m3\"",
     "town.toml:64:12: supplies.salt_bag: \"20 m3\" is not a mass (m3 is a volume); write for example \"20 kg\"\n"},
    {"acid_drum = \"60 L\"", "acid_drum = \"60 m3\"",
     "town.toml:65:13: supplies.acid_drum: 60 m3 is more than 2000 L, the largest accepted; was this in L? write 60 "
     "L\n"},
    {"cells_in_stock = 6", "cells_in_stock = -1",
     "town.toml:67:18: supplies.cells_in_stock: -1 is less than 0, the smallest accepted; write a whole number from 0 "
     "to 1000000\n"},
    {"cells_in_stock = 6", "salt_in_stock = \"6 bags\"",
     "town.toml:67:17: supplies.salt_in_stock: this is text, not a whole number; write for example salt_in_stock = "
     "20\n"},
    {"cells_in_stock = 6", "salt_reorder_at = 6",
     "town.toml:67:19: supplies.salt_reorder_at: without salt_in_stock the depot never runs out and nothing is "
     "ordered; "
     "write salt_in_stock as well, or leave this out\n"},
    {"cells_in_stock = 6", "acid_in_stock = 6\nacid_reorder_at = 6",
     "town.toml:68:19: supplies.acid_reorder_at: orders restore acid_in_stock, 6, and so must go out below it; write a "
     "number under 6\n"},
    {"cells_in_stock = 6", "salt_on_van = 30",
     "town.toml:63:1: supplies: a loaded van would carry 600 kg, more than the payload of Mara, 400 kg; write "
     "fewer "
     "packs in salt_on_van and its like, or a larger payload\n"},
    {"free_chlorine_low = \"1 ppm\"", "free_chlorine_low = \"6 ppm\"",
     "town.toml:70:21: bands.free_chlorine_low: the lower end of the band is above its upper end; swap them\n"},
    {"free_chlorine_low = \"1 ppm\"", "free_chlorine_low = \"1 %\"",
     "town.toml:70:21: bands.free_chlorine_low: \"1 %\" is not a concentration (% measures something else); write for "
     "example \"3200 ppm\"\n"},
    {"evaporation_factor = 1.0", "evaporation_facter = 1.0",
     "town.toml:74:1: model.evaporation_facter: unknown key; did you mean evaporation_factor?\n"},
    {"evaporation_factor = 1.0", "evaporation_factor = \"1 mm\"",
     "town.toml:74:22: model.evaporation_factor: this is text, not a plain number; write for example "
     "evaporation_factor = 1\n"},
    {"evaporation_factor = 1.0", "cell_cold_stop_K = \"20 degC\"",
     "town.toml:74:20: model.cell_cold_stop_K: cell_cold_stop_K 293.15 K must be less than cell_cold_full_K 291.15 K; "
     "write less than 291.15 K\n"},
    {"evaporation_factor = 1.0", "cell_cold_full_K = \"13 degC\"",
     "town.toml:74:20: model.cell_cold_full_K: cell_cold_stop_K 286.15 K must be less than cell_cold_full_K 286.15 K; "
     "write more than 286.15 K\n"},
    {"evaporation_factor = 1.0", "cell_salt_stop_low_kg_per_m3 = \"5 g/L\"\ncell_salt_stop_high_kg_per_m3 = \"4 g/L\"",
     "town.toml:74:32: model.cell_salt_stop_low_kg_per_m3: cell_salt_stop_low_kg_per_m3 5 kg m-3 must be less than "
     "cell_salt_stop_high_kg_per_m3 4 kg m-3; write less than 4 kg m-3\n"},
    {"evaporation_factor = 1.0", "scale_visible_kg_per_m2 = \"0.3 kg/m2\"",
     "town.toml:74:27: model.scale_visible_kg_per_m2: scale_visible_kg_per_m2 0.3 kg m-2 must be less than "
     "scale_flakes_kg_per_m2 0.2 kg m-2; write less than 0.2 kg m-2\n"},
    {"evaporation_factor = 1.0", "scale_bridged_kg_per_m2 = \"0.1 kg/m2\"",
     "town.toml:74:27: model.scale_bridged_kg_per_m2: scale_flakes_kg_per_m2 0.2 kg m-2 must be less than "
     "scale_bridged_kg_per_m2 0.1 kg m-2; write more than 0.2 kg m-2\n"},
    {"evaporation_factor = 1.0", "cyanurate_constants_year = 2000",
     "town.toml:74:28: model.cyanurate_constants_year: there are no constants of 2000; write 1974 or 2019\n"},
    {"evaporation_factor = 1.0", "cyanurate_constants_year = 1974.5",
     "town.toml:74:28: model.cyanurate_constants_year: there are no constants of 1974.5; write 1974 or 2019\n"},
    {"visits.interval = \"7 d\"", "visits.interval = \"7 apples\"",
     "town.toml:77:19: policies.weekly.visits.interval: \"7 apples\" is not a length of time (unit unknown); write for "
     "example \"7 d\"\n"},
    {"visits.interval = \"7 d\"", "visits.interval = \"7 m\"",
     "town.toml:77:19: policies.weekly.visits.interval: \"7 m\" is not a length of time (m is a length); write for "
     "example \"7 d\"\n"},
    {"visits.interval = \"7 d\"", "visit.interval = \"7 d\"",
     "town.toml:77:1: policies.weekly.visit: unknown key; did you mean visits?\n"},
    {"[policies.weekly]\nvisits.interval = \"7 d\"\n", "",
     "town.toml:1:1: policies is missing; write for example [policies.weekly]\n"},
    {"[policies.weekly]", "[policies.fortnightly]\nbase = 7\n[policies.weekly]",
     "town.toml:77:8: policies.fortnightly.base: this is a whole number, not text; write for example \"a few "
     "words\"\n"},
    {"[policies.weekly]", "[policies.fortnightly]\nbase = \"weekley\"\n[policies.weekly]",
     "town.toml:77:8: policies.fortnightly.base: there is no policy \"weekley\"; did you mean \"weekly\"?\n"},
    {"visit_log = true", "visit_log = \"yes\"",
     "town.toml:80:13: outputs.visit_log: this is text, not true or false; write for example visit_log = true\n"},
    {"trace_pools = [\"Alder Row 4\"]", "trace_pools = [\"Alder Row 5\"]",
     "town.toml:81:15: outputs.trace_pools: no pool is called \"Alder Row 5\"; did you mean \"Alder Row 4\"?\n"},
    {"trace_pools = [\"Alder Row 4\"]", "trace_pools = [\"Alder Row 4\", \"Alder Row 4\"]",
     "town.toml:81:15: outputs.trace_pools: \"Alder Row 4\" is listed twice; write each pool once\n"},
    {"name = \"Town\"", "name = [7]",
     "town.toml:1:8: name: this is a list, not text; write for example \"a few words\"\n"},
    {"name = \"Town\"", "name = 7.5",
     "town.toml:1:8: name: this is a number, not text; write for example \"a few words\"\n"},
    {"name = \"Town\"", "name = true",
     "town.toml:1:8: name: this is true or false, not text; write for example \"a few words\"\n"},
    {"name = \"Town\"", "name = 08:30:00",
     "town.toml:1:8: name: this is a time of day, not text; write for example \"a few words\"\n"},
    {"name = \"Town\"", "name = \"\\u0007\"",
     "town.toml:1:8: name: the text holds control characters; write it on one line\n"},
    {"climate_file = \"climate.csv\"", "climate_file = \"\"",
     "town.toml:19:16: weather.climate_file: the path is empty; name a file\n"},
    {"pools = \"pools.csv\"", "pools = \"pools.csv\"\nelevation = \"9 m\"",
     "town.toml:25:13: fleet.elevation: the sites have their own elevations; remove this one\n"},
    {"pools = \"pools.csv\"", "count = 10\ncentre = { longitude = -93.0, latitude = 88.0 }",
     "town.toml:25:10: fleet.centre: a generated fleet lies between 85 degrees south and north; write another "
     "latitude\n"},
    {"pools = \"pools.csv\"", "pools = \"pools.csv\"\ntraits.sun_exposure = inf",
     "town.toml:25:23: fleet.traits.sun_exposure: the share is not finite; write for example \"50 %\" or 0.5\n"},
    {"pools = \"pools.csv\"", "pools = \"pools.csv\"\ntraits.cover = { none = \"most\" }",
     "town.toml:25:25: fleet.traits.cover.none: \"most\" is not a share (it does not start with a number); write for "
     "example \"50 %\"\n"},
    {"pools = \"pools.csv\"", "pools = \"pools.csv\"\ntraits.start_ph = 75",
     "town.toml:25:19: fleet.traits.start_ph: 75 is more than 10, the largest accepted; write a value from 5 to 10\n"},
    {"pools = \"pools.csv\"", "pools = \"pools.csv\"\ntraits.start_ph = { median = 75, spread = 0.1 }",
     "town.toml:25:30: fleet.traits.start_ph.median: 75 is more than 10, the largest accepted; write a value from 5 to "
     "10\n"},
    {"pools = \"pools.csv\"", "pools = \"pools.csv\"\ntraits.start_ph = {}",
     "town.toml:25:19: fleet.traits.start_ph: no distribution; write { median = ..., spread = 0.3 }, { mean = ..., "
     "spread = 0.1 } or { low = ..., high = ... }\n"},
    {"salt = \"100 mg/L\"", "salt = 1e9",
     "town.toml:27:8: fill_water.mains.salt: 1000000000 has no unit; a concentration is text with its unit, write for "
     "example \"1000000000 mg/L\"\n"},
    {"shift_start = \"08:00\"", "shift_start = \"08:00:00:00\"",
     "town.toml:39:15: technicians[1].shift_start: this is not a time of day; write hours and minutes from \"00:00\" "
     "to \"24:00\", for example \"08:30\"\n"},
    {"\"monday\", \"tuesday\"", "\"monday\", 2",
     "town.toml:54:27: rounds.working_days: this is a whole number, not text; write for example \"monday\"\n"},
    {"evaporation_factor = 1.0", "splash_m3_per_bather = 0.01",
     "town.toml:74:24: model.splash_m3_per_bather: this is a number, not text with a number and its unit; write for "
     "example splash_m3_per_bather = \"0.0015 m3\"\n"},
    {"evaporation_factor = 1.0", "splash_m3_per_bather = \"some L\"",
     "town.toml:74:24: model.splash_m3_per_bather: \"some L\" is not a number with the unit m3 (it does not start with "
     "a number); write for example splash_m3_per_bather = \"0.0015 m3\"\n"},
    {"evaporation_factor = 1.0", "splash_m3_per_bather = \"6\"",
     "town.toml:74:24: model.splash_m3_per_bather: \"6\" is not a number with the unit m3 (the unit is missing); write "
     "for example splash_m3_per_bather = \"0.0015 m3\"\n"},
    {"evaporation_factor = 1.0", "splash_m3_per_bather = \"6 apples\"",
     "town.toml:74:24: model.splash_m3_per_bather: \"6 apples\" is not a number with the unit m3 (unit unknown); write "
     "for example splash_m3_per_bather = \"0.0015 m3\"\n"},
    {"evaporation_factor = 1.0", "splash_m3_per_bather = \"6 kg\"",
     "town.toml:74:24: model.splash_m3_per_bather: \"6 kg\" is not a number with the unit m3 (that unit measures "
     "something else); write for example splash_m3_per_bather = \"0.0015 m3\"\n"},
    {"evaporation_factor = 1.0", "splash_m3_per_bather = \"600 L\"",
     "town.toml:74:24: model.splash_m3_per_bather: 0.6 m3 is outside what is accepted; write a value from 0 to 0.05 "
     "m3\n"},
    {"[outputs]", "[output]", "town.toml:79:2: output: unknown key; did you mean outputs?\n"},
    {"visit_log = true", "visit_log = true\nvisit_log",
     "town.toml:81:10: this is not valid TOML (key-value pair: expected '=', saw '\\n'); toml.io describes the "
     "format\n"},
}};

}  // namespace

TEST_CASE("the sound town has no problems", "[sim][scenario][unit]") {
  CHECK(problems_of(town_toml, town_pools).empty());
}

TEST_CASE("every wrong scenario gets its lines and no others", "[sim][scenario][hostile]") {
  for (auto const& wrong : wrong_scenarios) {
    CAPTURE(wrong.from, wrong.to);
    CHECK(problems_of(spoiled(town_toml, wrong.from, wrong.to), town_pools) == wrong.lines);
  }
}

TEST_CASE("all problems of a scenario and its list are told at once, in the order of files and lines",
          "[sim][scenario][hostile]") {
  std::string const toml = spoiled(spoiled(spoiled(town_toml, "[outputs]", "[output]"), "seed = 3", "sed = 3"),
                                   "payload = \"400 kg\"", "payload = \"400 L\"");
  CHECK(
      problems_of(toml, spoiled(spoiled(town_pools, "28.201,60,", "28.201,6000,"), "none,hill", "nun,hill")) ==
      "town.toml:2:1: sed: unknown key; did you mean seed?\n"
      "town.toml:42:11: technicians[1].payload: \"400 L\" is not a mass (L is a volume); write for example \"20 kg\"\n"
      "town.toml:79:2: output: unknown key; did you mean outputs?\n"
      "pools.csv:2: column water_volume: 6000 m3 is more than 2000 m3, the largest accepted; was this in gal? write "
      "6000 gal\n"
      "pools.csv:2: column cover: \"nun\" is unknown; write one of none, bubble, solid\n");
}

TEST_CASE("more than the limits hold is refused in one line", "[sim][scenario][hostile]") {
  auto const repeated = [](std::size_t count, std::string const& before, std::string const& after) {
    std::string text;
    for (std::size_t i = 0; i < count; ++i) text += before + std::to_string(i) + after;
    return text;
  };
  CHECK(problems_of(spoiled(town_toml, "name = \"Town\"", "name = \"" + std::string(201, 'x') + "\""), town_pools) ==
        "town.toml:1:8: name: the text has more than 200 bytes; shorten it\n");
  CHECK_THAT(
      problems_of(town_toml + repeated(500, "[[sites]]\nname = \"", "\"\nlongitude = 0\nlatitude = 0\n"), town_pools),
      Catch::StartsWith("town.toml:11:1: sites: there are 501 sites, more than the 500 accepted; write fewer\n"));
  CHECK_THAT(problems_of(town_toml + repeated(499, "[[technicians]]\nname = \"", "\"\n"), town_pools),
             Catch::StartsWith("town.toml:37:1: technicians: there are 501 technicians, more than the 500 accepted; "
                               "write fewer\n"));
  CHECK(problems_of(town_toml + "[[technicians]]\nname = \"Ovid\"\nskills = [" + repeated(64, "\"key ", "\",") + "]\n",
                    town_pools) ==
        "town.toml:37:1: technicians: there are 65 different skills, more than the 64 accepted; give keys that go "
        "together one name\n");
  CHECK(problems_of(town_toml + repeated(100, "[policies.p", "]\n"), town_pools) ==
        "town.toml:76:1: policies: there are 101 policies, more than the 100 accepted; write fewer\n");
  CHECK(problems_of(spoiled(town_toml, "\"Alder Row 4\"]", repeated(1001, "\"p", "\",") + "]"), town_pools) ==
        "town.toml:81:15: outputs.trace_pools: 1001 pools are listed, more than the 1000 accepted; list fewer\n");
  CHECK_THAT(problems_of(spoiled(town_toml, "\"Alder Row 4\"]", repeated(100'001, "\"", "\",") + "]"), town_pools),
             Catch::Contains("outputs.trace_pools: the list has more than 100000 entries; write fewer\n"));
  CHECK_THAT(problems_of(town_toml, "name,longitude,latitude\n" + repeated(100'001, "p", ",0,0\n")),
             Catch::Contains("pools.csv: the list has 100001 pools, more than the 100000 accepted; split the fleet\n"));
}

TEST_CASE("a table or list of the wrong kind is named before anything in it", "[sim][scenario][hostile]") {
  std::string const no_bands =
      spoiled(town_toml, "[bands]\nfree_chlorine_low = \"1 ppm\"\nfree_chlorine_high = \"5 ppm\"\n", "");
  CHECK(problems_of(spoiled(no_bands, "seed = 3", "seed = 3\nbands = 3"), town_pools) ==
        "town.toml:3:9: bands: this is a whole number, not a table; write for example [bands]\n");
  std::string const no_sites = spoiled(town_toml,
                                       "[[sites]]\nname = \"hill\"\nlongitude = -93.0\nlatitude = "
                                       "28.2\nelevation = \"40 m\"\n",
                                       "");
  CHECK_THAT(problems_of(spoiled(no_sites, "seed = 3", "seed = 3\nsites = [\"hill\"]"), town_pools),
             Catch::Contains("town.toml:3:10: sites: this is text, not a table; write for example [[sites]]\n"));
  std::string nobody = town_toml;
  auto const first = nobody.find("[[technicians]]");
  nobody.erase(first, nobody.find("[roads]") - first);
  CHECK_THAT(problems_of(spoiled(nobody, "seed = 3", "seed = 3\ntechnicians = []"), town_pools),
             Catch::Contains("technicians: nobody is listed; write a [[technicians]] table for each\n"));
}

TEST_CASE("a key that the parser itself does not expect is a mistake like any other", "[sim][scenario][hostile]") {
  // toml++ 3.3.0 asserts here.
  CHECK(problems_of(spoiled(town_toml, "[outputs]", "[# outputs]"), town_pools) ==
        "town.toml:79:2: this is not valid TOML (key: expected bare key starting character or string delimiter, saw "
        "'#'); toml.io describes the format\n");
  CHECK(problems_of(spoiled(town_toml, "[outputs]", "[. outputs]"), town_pools) ==
        "town.toml:79:2: this is not valid TOML (key: expected bare key starting character or string delimiter, saw "
        "'.'); toml.io describes the format\n");
  // toml++ 3.3.0 promises the compiler that this letter never comes.
  CHECK(problems_of(spoiled(town_toml, "[outputs]", "[outputs\u0490]"), town_pools) ==
        "town.toml:79:9: this is not valid TOML (table header: expected ']', saw '\u0490'); toml.io describes the "
        "format\n");
}

TEST_CASE("no truncation of a scenario or its list does more than report problems", "[sim][scenario][hostile]") {
  for (std::size_t length = 0; length < town_toml.size(); length += 7) {
    std::string const lines = problems_of(town_toml.substr(0, length), town_pools);
    CAPTURE(length);
    // Without its end the town is still sound when only optional tables are missing.
    CHECK((length > town_toml.find("[policies.weekly]") || !lines.empty()));
  }
  for (std::size_t length = 0; length < town_pools.size(); length += 3) {
    problems_of(town_toml, town_pools.substr(0, length));
  }
}

TEST_CASE("no single foreign character in a scenario or its list does more than report problems",
          "[sim][scenario][hostile]") {
  for (std::string_view const foreign : {std::string_view("\0", 1), std::string_view("\""), std::string_view("\xff"),
                                         std::string_view("["), std::string_view("\n"), std::string_view("-9e999")}) {
    for (std::size_t at = 0; at < town_toml.size(); at += 11) {
      problems_of(std::string(town_toml).insert(at, foreign), town_pools);
    }
    for (std::size_t at = 0; at < town_pools.size(); at += 5) {
      problems_of(town_toml, std::string(town_pools).insert(at, foreign));
    }
  }
}

}  // namespace brinecast::tests
