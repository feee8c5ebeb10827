// Files that are not what they should be: one clear line each, whatever they hold.

#include <sys/resource.h>

#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "records.hpp"
#include "sim/random/random.hpp"
#include "sim/weather/weather.hpp"

using namespace brinecast::sim;
using namespace brinecast::tests;

namespace {

long peak_memory_kB() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return usage.ru_maxrss;
}

std::string noise(std::size_t bytes) {
  std::string text(bytes, '\0');
  for (std::size_t i = 0; i < bytes; ++i) {
    text[i] = static_cast<char>(random_bits({.purpose = Purpose::resample, .time = static_cast<std::uint32_t>(i)})[0]);
  }
  return text;
}

}  // namespace

TEST_CASE("ten gigabytes of zeros are refused in one line and bounded memory", "[sim][weather][hostile]") {
  TemporaryFile const file("zeros.csv", "");
  std::filesystem::resize_file(file.path(), 10'000'000'000);  // sparse: takes no room
  long const before = peak_memory_kB();
  CHECK_THAT(fault_of(file.path()), Catch::Contains("10.0 GB"));
  std::filesystem::resize_file(file.path(), 900'000'000);
  CHECK_THAT(fault_of(file.path()), Catch::Contains("not a weather file") || Catch::Contains("zero bytes"));
  CHECK(peak_memory_kB() - before < 20'000);
}

TEST_CASE("binary noise is refused in one line", "[sim][weather][hostile]") {
  TemporaryFile const file("noise.csv", noise(200'000));
  CHECK_THAT(fault_of(file.path()),
             Catch::Contains("not a") || Catch::Contains("not known") || Catch::Contains("zero bytes"));
  TemporaryFile const endless("endless.csv", std::string(100'000, '7'));
  CHECK_THAT(fault_of(endless.path()), Catch::Contains("longer than"));
}

TEST_CASE("files that are missing, empty, a folder or of an unknown format say so", "[sim][weather][hostile]") {
  CHECK_THAT(fault_of("/no/such/file.csv"), Catch::Contains("does not exist"));
  CHECK_THAT(fault_of(std::filesystem::temp_directory_path()), Catch::Contains("not a file"));
  TemporaryFile const empty("empty.csv", "");
  CHECK_THAT(fault_of(empty.path()), Catch::Contains("empty"));
  TemporaryFile const comments("comments.csv", "# nothing\n\n");
  CHECK_THAT(fault_of(comments.path()), Catch::Contains("comments"));
  TemporaryFile const letter("letter.txt", "Dear reader,\nthe weather is fine.\n");
  CHECK_THAT(fault_of(letter.path()), Catch::Contains("not known"));
}

TEST_CASE("wrong units do not pass for weather", "[sim][weather][hostile]") {
  TemporaryFile const warm("warm.csv", "date,high [degC],low [degC]\n2024-07-01,95,75\n");
  CHECK_THAT(fault_of(warm.path()), Catch::Contains("does not occur on Earth"));
  TemporaryFile const wet("wet.csv", "date,rain [m]\n2024-07-01,12.7\n");
  CHECK_THAT(fault_of(wet.path()), Catch::Contains("check the unit"));
  TemporaryFile const mass("mass.csv", "date,rain [kg]\n2024-07-01,12.7\n");
  CHECK_THAT(fault_of(mass.path()), Catch::Contains("column rain"));
  TemporaryFile const crossed("crossed.csv", "date,high [degC],low [degC]\n2024-07-01,15,25\n");
  CHECK_THAT(fault_of(crossed.path()), Catch::Contains("below its lowest"));
  TemporaryFile const exported("exported.csv", "STATION,DATE,PRCP,TMAX\nXX000012345,2024-07-01,0.25,91\n");
  CHECK_THAT(fault_of(exported.path()), Catch::Contains("tenths"));
}

TEST_CASE("cut and damaged tables name the line", "[sim][weather][hostile]") {
  TemporaryFile const cut("cut.csv", "date,rain [mm],high [degC]\n2024-07-01,1,30\n2024-07-0");
  CHECK_THAT(fault_of(cut.path()), Catch::Contains("cut"));
  TemporaryFile const fixed("cut.dly",
                            ghcn_line(2023, 1, "PRCP", {1, 2, 3}) + ghcn_line(2023, 2, "PRCP", {1}).substr(0, 100));
  CHECK_THAT(fault_of(fixed.path()), Catch::Contains("269"));
  TemporaryFile const letters("letters.csv", "date,rain [mm]\n2024-07-01,much\n");
  CHECK_THAT(fault_of(letters.path()), Catch::Contains("\"much\" is not a number"));
  TemporaryFile const two("two.dly",
                          ghcn_line(2023, 1, "PRCP", {1}) + "YY" + ghcn_line(2023, 1, "PRCP", {1}).substr(2));
  CHECK_THAT(fault_of(two.path()), Catch::Contains("second station"));
  TemporaryFile const impossible("impossible.csv", "date,rain [mm]\n2023-02-29,1\n");
  CHECK_THAT(fault_of(impossible.path()), Catch::Contains("not a date"));
  TemporaryFile const summer_time("summer.csv",
                                  "time,temperature [degC]\n2023-03-26T01:00+01:00,5\n2023-03-26T03:00+02:00,5\n");
  CHECK_THAT(fault_of(summer_time.path()), Catch::Contains("standard time"));
}

TEST_CASE("rows of a daily table in any order give the same record", "[sim][weather][hostile]") {
  TemporaryFile const ordered("ordered.csv", "date,rain [mm]\n2023-01-01,1\n2023-01-02,2\n2023-01-03,3\n");
  TemporaryFile const shuffled("shuffled.csv", "date,rain [mm]\n2023-01-03,3\n2023-01-01,1\n2023-01-02,2\n");
  auto const a = sound_file(ordered.path()), b = sound_file(shuffled.path());
  REQUIRE(a.daily->days.size() == b.daily->days.size());
  for (std::size_t d = 0; d < 3; ++d) CHECK(a.daily->days[d].rain_m == b.daily->days[d].rain_m);
}

TEST_CASE("a real typical year cut anywhere or with its bytes shuffled is refused in one line",
          "[sim][weather][hostile]") {
  for (std::string const name : {"tmy3_722430_houston.csv", "tmy2_12839_miami.tm2", "epw_725300_chicago_ohare.epw"}) {
    auto const path = open_data(name);
    if (!path) continue;
    std::ostringstream whole;
    whole << std::ifstream(*path, std::ios::binary).rdbuf();
    std::string const text = whole.str();
    for (double const share : {0.0001, 0.01, 0.3333, 0.7}) {
      INFO(name << " cut at " << share);
      TemporaryFile const cut("cut-" + name,
                              text.substr(0, static_cast<std::size_t>(share * static_cast<double>(text.size()))));
      CHECK_FALSE(fault_of(cut.path()).empty());
    }
    std::string shuffled = text.substr(0, 100'000);
    for (std::size_t i = shuffled.size() - 1; i > 0; --i) {
      auto const j = random_bits({.purpose = Purpose::resample, .time = static_cast<std::uint32_t>(i)})[1] % (i + 1);
      std::swap(shuffled[i], shuffled[j]);
    }
    TemporaryFile const mixed("mixed-" + name, shuffled);
    CHECK_FALSE(fault_of(mixed.path()).empty());
  }
}

TEST_CASE("mistakes in monthly climate figures are told with their place", "[sim][weather][hostile]") {
  auto const problem_of = [](std::string const& content) {
    TemporaryFile const file("climate.csv", content);
    Problems problems;
    CHECK_FALSE(read_weather_file(file.path(), problems).has_value());
    REQUIRE_FALSE(problems.empty());
    return problems.text();
  };
  CHECK_THAT(problem_of("month,rain [mm],wet_day [d]\n"), Catch::Contains("did you mean wet_days?"));
  CHECK_THAT(problem_of("month,rain,wet_days [d],high [degC],low [degC]\n"), Catch::Contains("no unit"));
  CHECK_THAT(problem_of("month,rain [mm],wet_days [d],high [degC],low [degC]\n1,50,8,10,2\n"),
             Catch::Contains("month 2 is missing"));
  CHECK_THAT(problem_of("month,rain [mm],wet_days [d],high [degC],low [degC]\n1,50,8,90,2\n"),
             Catch::Contains("outside what occurs on Earth"));
}
