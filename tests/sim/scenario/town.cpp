#include "tests/sim/scenario/town.hpp"

#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <stdexcept>

#include "sim/scenario/pool_problems.hpp"
#include "sim/scenario/read_scenario.hpp"

namespace brinecast::tests {

namespace {

/// The current folder for as long as it lives, so that messages name files without a path; removed afterwards.
class TownFolder {
 public:
  TownFolder() : before_(std::filesystem::current_path()) {
    folder_ = std::filesystem::temp_directory_path() / ("brinecast_town_" + std::to_string(::getpid()));
    std::filesystem::create_directories(folder_);
    std::filesystem::current_path(folder_);
  }
  TownFolder(TownFolder const&) = delete;
  TownFolder& operator=(TownFolder const&) = delete;
  ~TownFolder() {
    std::filesystem::current_path(before_);
    std::filesystem::remove_all(folder_);
  }

 private:
  std::filesystem::path before_, folder_;
};

void write(std::string_view name, std::string_view text) { std::ofstream(std::string(name), std::ios::binary) << text; }

}  // namespace

std::string const town_toml = R"toml(name = "Town"
seed = 3
replicates = 5

[season]
first_day = 2027-03-01
last_day = 2027-10-31
utc_offset = "-6 h"
holidays = [2027-05-31]

[[sites]]
name = "hill"
longitude = -93.0
latitude = 28.2
elevation = "40 m"

[weather]
kind = "generated"
climate_file = "climate.csv"
rain_factor = 1.0
warming = "0 K"

[fleet]
pools = "pools.csv"

[fill_water.mains]
salt = "100 mg/L"
calcium = "150 mg/L as CaCO3"
alkalinity = "100 mg/L as CaCO3"
ph = 7.8
temperature = "18 degC"

[depot]
longitude = -93.0
latitude = 28.2

[[technicians]]
name = "Mara"
shift_start = "08:00"
shift_length = "8 h"
break = "30 min"
payload = "400 kg"
skills = ["club"]

[[technicians]]
name = "Tobin"

[roads]
kind = "straight_line"
detour_factor = 1.3
straight_line_speed = "35 km/h"

[rounds]
working_days = ["monday", "tuesday"]
stop_overhead = "4 min"

[prices]
currency = "USD"
wage_per_hour = 28.0
overtime_factor = 1.5
salt_per_kg = 0.45

[supplies]
salt_bag = "20 kg"
acid_drum = "60 L"
salt_lead_time = "7 d"
cells_in_stock = 6

[bands]
free_chlorine_low = "1 ppm"
free_chlorine_high = "5 ppm"

[model]
evaporation_factor = 1.0

[policies.weekly]
visits.interval = "7 d"

[outputs]
visit_log = true
trace_pools = ["Alder Row 4"]
)toml";

std::string const town_pools =
    R"csv(name,class,longitude,latitude,water_volume [m3],surface_area [m2],cover,site,fill_water,automatic_refill,gate_opens,gate_closes,skill,preferred_technician,bathers_per_day,start_ph
Alder Row 4,home,-93.001,28.201,60,42,none,hill,mains,yes,,,,Mara,1.5,7.5
Bracken Lane 9,home,-93.002,28.202,45,32,solid,hill,mains,no,08:00,17:30,club,,0.5,7.4
"Clover Way, 12",small club,-93.003,28.203,95,66,bubble,,,,,,,,6,
)csv";

std::string spoiled(std::string_view text, std::string_view from, std::string_view to) {
  auto const at = text.find(from);
  if (at == std::string_view::npos) throw std::logic_error("nothing to spoil: " + std::string(from));
  std::string out(text.substr(0, at));
  out += to;
  out += text.substr(at + from.size());
  return out;
}

namespace {

std::optional<sim::Scenario> read_town(std::string_view toml, std::string_view pools, sim::Problems& problems) {
  write("town.toml", toml);
  write("pools.csv", pools);
  write("climate.csv", "opened when a run is prepared\n");
  return sim::read_scenario("town.toml", problems);
}

}  // namespace

std::string problems_of(std::string_view toml, std::string_view pools) {
  TownFolder const folder;
  sim::Problems problems;
  auto const scenario = read_town(toml, pools, problems);
  if (scenario.has_value() != problems.empty()) throw std::logic_error("a scenario with problems was accepted");
  return problems.text();
}

std::string pool_findings_of(std::string_view toml, std::string_view pools) {
  TownFolder const folder;
  sim::Problems problems;
  auto const scenario = read_town(toml, pools, problems);
  if (!scenario) throw std::logic_error(problems.text());
  return sim::find_pool_problems(*scenario).text();
}

}  // namespace brinecast::tests
