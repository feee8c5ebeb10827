// Wrong lists of pools and the exact lines that they get: file, row, column, what is wrong, what would be right.

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>

#include "tests/sim/scenario/town.hpp"

namespace brinecast::tests {

namespace {

constexpr std::array<WrongInput, 43> wrong_lists{{
    {"water_volume [m3]", "water_volume",
     "pools.csv:1: column water_volume: 60 in line 2 has no unit; name the unit in the header, for example "
     "water_volume [m3]\n"},
    {"water_volume [m3]", "water_volume [kg]",
     "pools.csv:1: column water_volume: [kg] does not measure a volume (kg is a mass); write for example water_volume "
     "[m3]\n"},
    {"water_volume [m3]", "water_volume [m4x]",
     "pools.csv:1: column water_volume: [m4x] does not measure a volume (unit unknown); write for example water_volume "
     "[m3]\n"},
    {"water_volume [m3]", "water_volum [m3]",
     "pools.csv:1: column water_volum: unknown column; did you mean water_volume?\n"},
    {"water_volume [m3]", "colour",
     "pools.csv:1: column colour: unknown column; remove it, or see the list of columns in scenarios/README.md\n"},
    {"longitude,", "lon,",
     "pools.csv:1: column lon: unknown column; remove it, or see the list of columns in scenarios/README.md\n"
     "pools.csv:1: column longitude is missing; every pool needs it\n"},
    {"start_ph", "start_ph [mg/L]",
     "pools.csv:1: column start_ph: this column is a plain number; write its name alone\n"},
    {"fill_water", "class", "pools.csv:1: column class appears twice; keep one\n"},
    {",class,", ",,", "pools.csv:1: column 2 has no name; name it or remove it\n"},
    {"28.201,60,", "28.201,6000,",
     "pools.csv:2: column water_volume: 6000 m3 is more than 2000 m3, the largest accepted; was this in gal? write "
     "6000 gal\n"},
    {"28.201,60,", "28.201,6000 m3,",
     "pools.csv:2: column water_volume: 6000 m3 is more than 2000 m3, the largest accepted; was this in gal? write "
     "6000 gal\n"},
    {"28.201,60,", "28.201,sixty,",
     "pools.csv:2: column water_volume: \"sixty\" is not a volume (it does not start with a number); write for example "
     "\"60 m3\"\n"},
    {"28.201,60,", "28.201,60 kg,",
     "pools.csv:2: column water_volume: \"60 kg\" is not a volume (kg is a mass); write for example \"60 m3\"\n"},
    {"28.201,60,", "28.201,\"1,600\",",
     "pools.csv:2: column water_volume: \"1,600\" is not a volume (digits are not grouped and the decimal sign is a "
     "point); write for example \"60 m3\"\n"},
    {"28.201,60,42", "28.201,60,4",
     "pools.csv:2: column water_volume: 60 m3 over a surface of 4 m2 make a mean depth of 15 m, not a pool's; check "
     "the units of water_volume and surface_area\n"},
    {"28.201,60,42", "28.201,60,-42",
     "pools.csv:2: column surface_area: -42 m2 is less than 0.5 m2, the smallest accepted; write a value from 0.5 m2 "
     "to 2000 m2\n"},
    {"-93.001,28.201", "28.201,-93.001",
     "pools.csv:2: column latitude: -93.001 degrees is outside -90 to 90; are longitude and latitude swapped?\n"},
    {"-93.001,28.201", "west,28.201",
     "pools.csv:2: column longitude: \"west\" is not a number of degrees; write for example -117.3021\n"},
    {"-93.001,28.201", "93.001,28.201",
     "pools.csv:2: column longitude: \"Alder Row 4\" lies 13711 km from the middle of the fleet; check the signs of "
     "longitude and latitude\n"},
    {"-93.001,28.201", ",28.201", "pools.csv:2: column longitude: the cell is empty; every pool needs a value here\n"},
    {"none,hill", "nun,hill", "pools.csv:2: column cover: \"nun\" is unknown; write one of none, bubble, solid\n"},
    {"none,hill", "none,hil", "pools.csv:2: column site: \"hil\" is unknown; did you mean \"hill\"?\n"},
    {"hill,mains,yes", "hill,main,yes",
     "pools.csv:2: column fill_water: \"main\" is unknown; did you mean \"mains\"?\n"},
    {"hill,mains,yes", "hill,mains,perhaps",
     "pools.csv:2: column automatic_refill: \"perhaps\" is neither yes nor no; write yes or no\n"},
    {"08:00,17:30", "8 o'clock,17:30",
     "pools.csv:3: column gate_opens: \"8 o'clock\" is not a time of day; write hours and minutes, for example "
     "08:30\n"},
    {"08:00,17:30", "18:00,17:30",
     "pools.csv:3: column gate_closes: the gate closes before it opens; write a later time\n"},
    {"08:00,17:30", "18:00,20:30",
     "pools.csv:3: column gate_opens: nobody works while the gate is open, 18:00 to 20:30: shifts and overtime run "
     "from "
     "08:00 to 17:00; correct the hours of the gate or of the shifts\n"},
    {"08:00,17:30", ",05:00",
     "pools.csv:3: column gate_closes: nobody works while the gate is open, 00:00 to 05:00: shifts and overtime run "
     "from "
     "08:00 to 17:00; correct the hours of the gate or of the shifts\n"},
    {"Bracken Lane 9", "Bracken\177Lane",
     "pools.csv:3: column name: the text holds control characters; write it on one line\n"},
    {"17:30,club", "17:30,clubb",
     "pools.csv:3: column skill: no technician has the skill \"clubb\"; add it to the skills of one\n"},
    {"club,,0.5", "club,Tobin,0.5",
     "pools.csv:3: column preferred_technician: \"Tobin\" does not have the skill \"club\" that the pool asks for; "
     "name another, or add the skill\n"},
    {",Mara,", ",Mora,", "pools.csv:2: column preferred_technician: \"Mora\" is unknown; did you mean \"Mara\"?\n"},
    {"Mara,1.5", "Mara,1.5 people",
     "pools.csv:2: column bathers_per_day: \"1.5 people\" is not a number; write for example 1\n"},
    {"Mara,1.5", "Mara,-1",
     "pools.csv:2: column bathers_per_day: -1 is outside what is accepted; write a number from 0 to 5000\n"},
    {"1.5,7.5", "1.5,75",
     "pools.csv:2: column start_ph: 75 is outside what is accepted; write a number from 5 to 10\n"},
    {"Bracken Lane 9", "Alder Row 4",
     "pools.csv:3: column name: \"Alder Row 4\" stands in line 2 already; give each pool its own name\n"},
    {"Bracken Lane 9", "", "pools.csv:3: column name: the cell is empty; every pool needs a value here\n"},
    {"\"Clover Way, 12\"", "Clover Way, 12",
     "pools.csv:4: the row has 17 cells and the header 16; quote cells that contain commas\n"},
    {"\"Clover Way, 12\"", "\"Clover Way, 12",
     "pools.csv:4: a quote opens here and is never closed; close it with \"\n"},
    {"\"Clover Way, 12\"", "\"Clover \"Way\", 12\"",
     "pools.csv:4: text follows the closing quote of a cell; double a quote inside a quoted cell (\"\")\n"},
    {"0.5,7.4", "0.5",
     "pools.csv:3: the row has 15 cells and the header 16; leave unknown cells empty, but keep their commas\n"},
    {"Alder Row 4,home", "Alder\001Row,home",
     "pools.csv:2: column name: the text holds control characters; write it on one line\n"
     "town.toml:81:15: outputs.trace_pools: no pool is called \"Alder Row 4\"; write a name of the fleet\n"},
    {"Alder Row 4,home", "Ald\377er,home", "pools.csv: the text is not valid UTF-8; save it as UTF-8\n"},
}};

}  // namespace

TEST_CASE("every wrong list of pools gets its lines and no others", "[sim][scenario][hostile]") {
  for (auto const& wrong : wrong_lists) {
    CAPTURE(wrong.from, wrong.to);
    CHECK(problems_of(town_toml, spoiled(town_pools, wrong.from, wrong.to)) == wrong.lines);
  }
}

TEST_CASE("pools out of proportion are told at their rows and columns, and read all the same",
          "[sim][scenario][hostile]") {
  CHECK(pool_findings_of(town_toml, town_pools) == "");
  std::string const list =
      "name,longitude,latitude,water_volume [m3],surface_area [m2],cover,covered_share,cell_rating [kg/d],"
      "cell_plate_area [m2],pump_flow [m3/h],pump_hours [h],bathers_per_day,start_salt [mg/L]\n"
      "Alder Row 4,-93.001,28.201,60,42,none,0,0.6,0.06,7,10,1,50\n"
      "Clover Way,-93.003,28.203,60,42,solid,0.4,,,,,,\n";
  std::string const toml = spoiled(town_toml, "trace_pools = [\"Alder Row 4\"]", "");
  CHECK(pool_findings_of(toml, list) == "");
  constexpr std::array<WrongInput, 9> told{{
      {"0.6,0.06", "0.05,0.005",
       "pools.csv:2: column cell_rating: a cell of 0.05 kg/d for 60 m3 makes 0.833 g a day and m3, where 1 to 200 are "
       "usual at the utmost; check the units of cell_rating and water_volume\n"},
      {"0.6,0.06", "15 kg/d,1.5",
       "pools.csv:2: column cell_rating: a cell of 15 kg/d for 60 m3 makes 250 g a day and m3, where 1 to 200 are "
       "usual "
       "at the utmost; check the units of cell_rating and water_volume\n"},
      {"0.6,0.06", "0.6,2",
       "pools.csv:2: column cell_plate_area: 2 m2 of plates for 0.6 kg/d are 3.33 m2 for a kg a day, where 0.01 to 1 "
       "are "
       "usual at the utmost; check the units of cell_plate_area and cell_rating\n"},
      {"7,10,1,50", "0.5,10,1,50",
       "pools.csv:2: column pump_flow: 0.5 m3/h for 10 h a day turn 60 m3 over in 12 d, more than 7 d; check the units "
       "of pump_flow and water_volume\n"},
      {"7,10,1,50", "7,10,900,50",
       "pools.csv:2: column bathers_per_day: 900 bathers a day over 42 m2 are 21.4 for a m2, more than 20; check "
       "bathers_per_day and surface_area\n"},
      {"none,0,", "none,0.4,",
       "pools.csv:2: column covered_share: 0.4 of the day under a cover count for nothing, since cover is none; write "
       "bubble or solid there, or 0 here\n"},
      {"none,0,", "none,40 %,",
       "pools.csv:2: column covered_share: 40 % of the day under a cover count for nothing, since cover is none; write "
       "bubble or solid there, or 0 here\n"},
      {"none,0,", "none,0 %,", ""},
      {"7,10,1,50", "7,0,1,50", ""},
  }};
  for (auto const& wrong : told) {
    CAPTURE(wrong.from, wrong.to);
    CHECK(pool_findings_of(toml, spoiled(list, wrong.from, wrong.to)) == wrong.lines);
  }
}

TEST_CASE("a trait out of proportion is told once, and a column of a list ten times", "[sim][scenario][hostile]") {
  std::string const toml =
      spoiled(spoiled(town_toml, "trace_pools = [\"Alder Row 4\"]", ""), "pools = \"pools.csv\"",
              "pools = \"pools.csv\"\ntraits.cell_rating = \"20 g/d\"\ntraits.cell_plate_area = \"20 cm2\"");
  CHECK(
      pool_findings_of(toml, town_pools) ==
      "town.toml:25:22: fleet.traits.cell_rating: \"Alder Row 4\", the first of 3 such pools: a cell of 0.02 kg/d for "
      "60 m3 makes 0.333 g a day and m3, where 1 to 200 are usual at the utmost; check the units of cell_rating and "
      "water_volume\n");
  std::string list = "name,longitude,latitude,water_volume [m3],cell_rating [g/d]\n";
  for (int pool = 1; pool <= 12; ++pool) list += "Pool " + std::to_string(pool) + ",-93.001,28.201,60,20\n";
  std::string const lines = pool_findings_of(spoiled(town_toml, "trace_pools = [\"Alder Row 4\"]", ""), list);
  CHECK(std::count(lines.begin(), lines.end(), '\n') == 11);
  CHECK_THAT(lines, Catch::Contains("pools.csv:11: column cell_rating: a cell of 0.02 kg/d for 60 m3 makes") &&
                        Catch::Contains("pools.csv:13: column cell_rating: 2 more rows have problems in this column; "
                                        "correct the first ones and check again\n"));
}

TEST_CASE("a list that is no list of pools is named as a whole", "[sim][scenario][hostile]") {
  CHECK(problems_of(town_toml, "name,longitude,latitude\n") ==
        "pools.csv: the list has no pools; write a row for each\n");
  CHECK(problems_of(town_toml, "") == "pools.csv: the table is empty; write a header row and a row for each entry\n");
  CHECK(problems_of(town_toml, "name;longitude;latitude\nAlder;-93,1;28,2\n") ==
        "pools.csv:1: the columns are separated by semicolons; separate them by commas, with a decimal point in "
        "numbers\n");
  CHECK(problems_of(town_toml, "name\tlongitude\tlatitude\n") ==
        "pools.csv:1: the columns are separated by tabs; separate them by commas, with a decimal point in numbers\n");
}

}  // namespace brinecast::tests
