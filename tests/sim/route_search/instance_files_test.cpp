#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "sim/rounds/search/check.hpp"
#include "sim/rounds/search/instance_files.hpp"

using namespace brinecast::sim::search;

namespace {

/// A file that goes away at the end of the test.
class ScratchFile {
 public:
  ScratchFile(std::string const& name, std::string const& text)
      : folder_(std::filesystem::temp_directory_path() / ("route_search_" + std::to_string(::getpid()))) {
    std::filesystem::create_directories(folder_);
    path_ = folder_ / name;
    std::ofstream(path_, std::ios::binary) << text;
  }
  ~ScratchFile() { std::filesystem::remove_all(folder_); }
  ScratchFile(ScratchFile const&) = delete;
  ScratchFile& operator=(ScratchFile const&) = delete;
  [[nodiscard]] std::filesystem::path const& path() const { return path_; }

 private:
  std::filesystem::path folder_;
  std::filesystem::path path_;
};

/// Christofides & Eilon, "An algorithm for the vehicle-dispatching problem", Operational Research Quarterly 20, 1969:
/// 12 customers, explicit distances; the optimum of 247 is proven (collected as E-n13-k4 in CVRPLIB).
constexpr char const* twelve_customers =
    "NAME : E-n13-k4\nTYPE : CVRP\nDIMENSION : 13\nEDGE_WEIGHT_TYPE : EXPLICIT\nEDGE_WEIGHT_FORMAT: LOWER_ROW \n"
    "CAPACITY : 6000\nEDGE_WEIGHT_SECTION\n"
    " 9 14 21 23 22 25 32 36 38 42\n 50 52 5 12 22 21 24 31 35 37\n 41 49 51 7 17 16 23 26 30 36\n"
    " 36 44 46 10 21 30 27 37 43 31\n 37 39 19 28 25 35 41 29 31 29\n 9 10 16 22 20 28 30 7 11 13\n"
    " 17 25 27 10 16 10 18 20 6 6\n 14 16 12 12 20 8 10 10\n"
    "DEMAND_SECTION\n1 0\n2 1200\n3 1700\n4 1500\n5 1400\n6 1700\n7 1400\n8 1200\n9 1900\n10 1800\n11 1600\n12 1700\n"
    "13 1100\nDEPOT_SECTION\n1\n-1\nEOF\n";

constexpr char const* square =
    "NAME: square\r\nTYPE: CVRP\r\nDIMENSION: 5\r\nEDGE_WEIGHT_TYPE: EUC_2D\r\nCAPACITY: 2\r\nNODE_COORD_SECTION\r\n"
    "1 0 0\r\n2 3 4\r\n3 3 5\r\n4 -3 4\r\n5 -3 5\r\nDEMAND_SECTION\r\n1 0\r\n2 1\r\n3 1\r\n4 1\r\n5 1\r\n"
    "DEPOT_SECTION\r\n1\r\n-1\r\nEOF\r\n";

constexpr char const* two_days =
    "1 1 3 2\n0 5\n20 4\n 0 0 0 0 0 0 0\n 1 3 4 1.5 2 1 2 1 2\n 2 -3 4 0 2 2 1 3\n 3 0 5 0 1 1 1 1\n";

std::string fault_of(std::string const& name, std::string const& text) {
  ScratchFile const file(name, text);
  auto const read = read_instance(file.path());
  auto const* fault = std::get_if<InstanceFault>(&read);
  return fault == nullptr ? std::string{} : fault->line;
}

std::string replaced(std::string text, std::string const& what, std::string const& with) {
  auto const place = text.find(what);
  REQUIRE(place != std::string::npos);
  return text.replace(place, what.size(), with);
}

}  // namespace

TEST_CASE("the twelve customers of 1969 are routed at the proven optimum", "[sim][route_search][published]") {
  ScratchFile const file("E-n13-k4.vrp", twelve_customers);
  auto const read = read_instance(file.path());
  REQUIRE(std::holds_alternative<Instance>(read));
  Instance const& instance = std::get<Instance>(read);
  CHECK(instance.name == "E-n13-k4");
  CHECK(instance.unit == 1.0);
  CHECK(instance.problem.customers.size() == 12);
  CHECK(instance.problem.travel_cost(0, 1) == 9);
  CHECK(instance.problem.travel_cost(12, 11) == 10);
  Solution const solution = search_rounds(instance.problem, {.seed = 1, .iterations = 300});
  CHECK(check_solution(instance.problem, solution).feasible());
  CHECK(solution.cost == 247);
  CHECK(solution.rounds.size() == 4);
}

TEST_CASE("rounded Euclidean files with carriage returns are read", "[sim][route_search][unit]") {
  ScratchFile const file("square.vrp", square);
  auto const read = read_instance(file.path());
  REQUIRE(std::holds_alternative<Instance>(read));
  Problem const& problem = std::get<Instance>(read).problem;
  CHECK(problem.travel_cost(0, 1) == 5);
  CHECK(problem.travel_cost(0, 2) == 6);  // 5.83 rounded
  CHECK(problem.kinds.front().capacity == 2);
  CHECK(search_rounds(problem, {.iterations = 50}).cost == 24);
}

TEST_CASE("a route length limit keeps distances unrounded and counts service", "[sim][route_search][unit]") {
  ScratchFile const file(
      "limited.vrp", replaced(square, "CAPACITY: 2\r\n", "CAPACITY: 9\r\nDISTANCE : 22.66\r\nSERVICE_TIME : 5.0\r\n"));
  auto const read = read_instance(file.path());
  REQUIRE(std::holds_alternative<Instance>(read));
  Instance const& instance = std::get<Instance>(read);
  CHECK(instance.unit == Approx(1e-5));
  Solution const solution = search_rounds(instance.problem, {.iterations = 50});
  // A pair takes 5 + 1 + 5.83095 of driving and 10 of service; three would take more than 26.
  CHECK(check_solution(instance.problem, solution).feasible());
  CHECK(solution.rounds.size() == 2);
  CHECK(static_cast<double>(solution.cost) * instance.unit == Approx(2 * (6.0 + std::sqrt(34.0))).epsilon(1e-6));
}

TEST_CASE("the other matrix forms give the same distances", "[sim][route_search][unit]") {
  auto table_of = [](std::string const& format, std::string const& weights) {
    ScratchFile const file("matrix.vrp", "DIMENSION: 3\nEDGE_WEIGHT_TYPE: EXPLICIT\nEDGE_WEIGHT_FORMAT: " + format +
                                             "\nCAPACITY: 5\nEDGE_WEIGHT_SECTION\n" + weights +
                                             "\nDEMAND_SECTION\n1 0\n2 1\n3 1\nDEPOT_SECTION\n1\n-1\nEOF\n");
    auto const read = read_instance(file.path());
    REQUIRE(std::holds_alternative<Instance>(read));
    return std::get<Instance>(read).cost_table;
  };
  std::vector<std::int32_t> const expected{0, 1, 2, 1, 0, 3, 2, 3, 0};
  CHECK(table_of("FULL_MATRIX", "0 1 2 1 0 3 2 3 0") == expected);
  CHECK(table_of("UPPER_ROW", "1 2\n3") == expected);
  CHECK(table_of("LOWER_ROW", "1\n2 3") == expected);
  CHECK(table_of("UPPER_DIAG_ROW", "0 1 2\n0 3 0") == expected);
  CHECK(table_of("LOWER_DIAG_ROW", "0 1 0 2 3 0") == expected);
  CHECK(table_of("UPPER_COL", "1 2 3") == expected);
  CHECK(table_of("FULL_MATRIX", "0 1 2 9 0 3 2 3 0")[3] == 9);
}

TEST_CASE("the distances of TSPLIB's formulas are those of its published examples", "[sim][route_search][published]") {
  // Reinelt, TSPLIB 95: ulysses16 and its distances, from memory; the other formulas worked by hand from the same text.
  auto const cost = [](std::string const& type, std::string const& nodes) {
    ScratchFile const file("three.vrp", "DIMENSION: 3\nEDGE_WEIGHT_TYPE: " + type +
                                            "\nCAPACITY: 5\nNODE_COORD_SECTION\n" + nodes +
                                            "DEMAND_SECTION\n1 0\n2 1\n3 1\nDEPOT_SECTION\n1\n-1\nEOF\n");
    auto const read = read_instance(file.path());
    REQUIRE(std::holds_alternative<Instance>(read));
    auto const& table = std::get<Instance>(read).cost_table;
    return std::vector<std::int32_t>{table[1], table[2]};
  };
  std::string const ulysses = "1 38.24 20.42\n2 39.57 26.15\n3 36.08 -5.21\n";
  CHECK(cost("GEO", ulysses) == std::vector<std::int32_t>{509, 2314});
  std::string const plane = "1 0 0\n2 3 5\n3 -2.6 0.6\n";
  CHECK(cost("CEIL_2D", plane) == std::vector<std::int32_t>{6, 3});  // 5.83, 2.67
  CHECK(cost("MAN_2D", plane) == std::vector<std::int32_t>{8, 3});   // 8, 3.2
  CHECK(cost("MAX_2D", plane) == std::vector<std::int32_t>{5, 3});   // of 3 and 5, of 3 and 1
  CHECK(cost("ATT", "1 6734 1453\n2 2233 10\n3 6734 1463\n") == std::vector<std::int32_t>{1495, 4});  // 1494.7, 3.16
}

TEST_CASE("sections that a routing file may add are read or named", "[sim][route_search][unit]") {
  std::string const served = "SERVICE_TIME_SECTION\r\n1 0\r\n2 7\r\n3 7\r\n4 7\r\n5 7\r\nDEPOT_SECTION\r\n";
  std::string const drawn = "DISPLAY_DATA_SECTION\r\n1 0 0\r\n2 1 1\r\n3 1 1\r\n4 1 1\r\n5 1 1\r\n";
  std::string const limited = replaced(square, "CAPACITY: 2\r\n", "CAPACITY: 9\r\nDISTANCE : 99\r\n");
  ScratchFile const file("sections.vrp", replaced(limited, "DEPOT_SECTION\r\n", drawn + served));
  auto const read = read_instance(file.path());
  REQUIRE(std::holds_alternative<Instance>(read));
  Instance const& instance = std::get<Instance>(read);
  CHECK(static_cast<double>(instance.problem.customers[0].service_duration) * instance.unit == Approx(7.0));
  CHECK_THAT(fault_of("late.vrp", replaced(limited, "DEPOT_SECTION\r\n", replaced(served, "2 7", "2 -7"))),
             Catch::Contains("service time below 0"));
  CHECK_THAT(fault_of("none.vrp", replaced(square, "DEPOT_SECTION\r\n1", "DEPOT_SECTION\r\n0")),
             Catch::Contains("depot 0 does not exist; nodes count from 1"));
  CHECK_THAT(fault_of("two.vrp", replaced(square, "DEPOT_SECTION\r\n1", "DEPOT_SECTION\r\n1\r\n2")),
             Catch::Contains("a second depot; only one is supported"));
}

TEST_CASE("periodic files give days, patterns and limits of each day", "[sim][route_search][unit]") {
  for (char const* name : {"small.txt", "small"}) {
    ScratchFile const file(name, two_days);
    auto const read = read_instance(file.path());
    REQUIRE(std::holds_alternative<Instance>(read));
    Instance const& instance = std::get<Instance>(read);
    CHECK(instance.name == "small");
    Problem const& problem = instance.problem;
    CHECK(problem.days == 2);
    REQUIRE(problem.customers.size() == 3);
    // A combination counts days from its highest bit: 1 is the second day, 2 the first.
    CHECK(problem.customers[0].patterns[0].days == 0b10);
    CHECK(problem.customers[0].patterns[1].days == 0b01);
    CHECK(problem.customers[1].patterns[0].days == 0b11);
    CHECK(problem.customers[2].patterns[0].days == 0b10);
    CHECK(problem.customers[0].service_duration == 150'000);
    REQUIRE(problem.kinds.size() == 2);
    CHECK(problem.kinds[0].longest_duration == unlimited);
    CHECK(problem.kinds[0].capacity == 5);
    CHECK(problem.kinds[1].longest_duration == 2'000'000);
    Solution const solution = search_rounds(problem, {.iterations = 60});
    // First day customers 1 and 2 (5 + 6 + 5), second 2 and 3 (5 + sqrt 10 + 5).
    CHECK(check_solution(problem, solution).feasible());
    CHECK(static_cast<double>(solution.cost) * instance.unit == Approx(26.0 + std::sqrt(10.0)).epsilon(1e-6));
  }
}

TEST_CASE("faulty instance files are told in one line with the place", "[sim][route_search][hostile]") {
  struct Case {
    std::string text;
    std::string expected;
  };
  std::string const vrp = square;
  std::string const periodic = two_days;
  std::vector<Case> const cases{
      {"", "empty"},
      {"\n \n", "empty"},
      {std::string("NAME : \0x", 9), "zero byte"},
      {replaced(vrp, "DIMENSION: 5", "DIMENSION: five"), ":3: DIMENSION"},
      {replaced(vrp, "DIMENSION: 5", "DIMENSION: 1e9"), ":3: DIMENSION"},
      {replaced(vrp, "DIMENSION: 5\r\n", ""), "DIMENSION must stand"},
      // Sections already read have the first dimension's size.
      {replaced(vrp, "DEPOT_SECTION", "DIMENSION: 9\r\nDEPOT_SECTION"), ":18: DIMENSION is given twice"},
      {replaced(vrp, "EUC_2D", "XRAY1"), ":4: EDGE_WEIGHT_TYPE \"XRAY1\""},
      {replaced(vrp, "2 3 4\r\n", "2 3\r\n"), ":8: y is missing"},
      {replaced(vrp, "2 3 4\r\n", "2 3 north\r\n"), ":8: y: \"north\""},
      {replaced(vrp, "3 3 5\r\n", "2 3 5\r\n"), ":9: node 2 is given twice"},
      {replaced(vrp, "3 3 5\r\n", "6 3 5\r\n"), ":9: node"},
      {replaced(vrp, "5 1\r\n", "5 3\r\n"), "demand 3 is more than the capacity 2"},
      {replaced(vrp, "5 1\r\n", "5 -1\r\n"), ":17: demand"},
      {replaced(vrp, "CAPACITY: 2", "CAPACITY: 0"), "CAPACITY below 1"},
      {replaced(vrp, "CAPACITY: 2\r\n", ""), "CAPACITY is missing"},
      {vrp.substr(0, vrp.find("DEMAND")), "no DEMAND_SECTION"},
      {vrp.substr(0, vrp.find("4 -3 4")), "the file ends here"},
      {replaced(vrp, "DEPOT_SECTION", "PRIZE_SECTION"), "PRIZE_SECTION is not supported"},
      {replaced(twelve_customers, "LOWER_ROW", "SPIRAL"), "\"SPIRAL\" is not known"},
      {replaced(twelve_customers, " 9 14 21", " 9 14"), "edge weight"},
      {replaced(twelve_customers, " 9 14 21", " 9 14 21 7"), "more edge weights"},
      {replaced(periodic, "1 1 3 2", "7 1 3 2"), ":1: type 7"},
      {replaced(periodic, "1 1 3 2", "1 0 3 2"), ":1: vehicles"},
      {replaced(periodic, "1 1 3 2", "1 1 3 99"), ":1: days"},
      {replaced(periodic, " 2 -3 4", " 5 -3 4"), ":6: customer number 5; expected 2"},
      {replaced(periodic, "2 1 3\n", "2 1 1\n"), ":6: combination 1 of customer 2 has 1 days"},
      {replaced(periodic, "2 1 3\n", "2 1 9\n"), ":6: combination"},
      {replaced(periodic, "2 1 3\n", "2 2 3\n"), ":6: combination of customer 2 is missing"},
      {replaced(periodic, "1 1 1\n", "1 0\n"), "customer 3 has no combination"},
      {periodic.substr(0, periodic.find(" 3 0 5")), "the file ends here; expected customer 3"},
  };
  for (Case const& fault : cases) {
    std::string const line = fault_of("broken.vrp", fault.text);
    INFO("expected " << fault.expected << ", got " << line);
    CHECK(line.find(fault.expected) != std::string::npos);
    CHECK(line.find('\n') == std::string::npos);
    CHECK(line.find("broken.vrp") != std::string::npos);
  }
  auto const missing = read_instance("no such folder/no.vrp");
  REQUIRE(std::holds_alternative<InstanceFault>(missing));
  CHECK(std::get<InstanceFault>(missing).line == "no such folder/no.vrp: cannot be read; is the path right?");
}
