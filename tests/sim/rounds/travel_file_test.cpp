// Tables of drives as users write them.

#include "sim/rounds/travel_file.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <string>

#include "tests/sim/rounds/small_town.hpp"

namespace {

using namespace brinecast;
using namespace brinecast::sim;

/// The problems of a table for two pools and a technician, each on its line, without the file's path.
struct ReadTable {
  TravelTable table;
  std::string problems;
};
ReadTable read_table(std::string const& text, Scenario town) {
  auto const path = std::filesystem::temp_directory_path() / "brinecast_drives_test.csv";
  std::ofstream(path) << text;
  town.roads.kind = RoadKind::matrix;
  town.roads.file = path;
  Problems problems;
  ReadTable read{read_travel_file(town, problems), problems.text()};
  std::filesystem::remove(path);
  for (auto at = read.problems.find(path.string()); at != std::string::npos; at = read.problems.find(path.string())) {
    read.problems.replace(at, path.string().size(), "drives.csv");
  }
  return read;
}

std::string const header = "from,to,time (s),distance (m)\n";
// What rounds of small_town(2, 1) drive.
std::string const all_drives =
    "pool 0,pool 1,60,500\n"
    "pool 1,pool 0,70,600\n"
    "start:technician 0,pool 0,80,700\n"
    "start:technician 0,pool 1,90,800\n"
    "start:technician 0,end:technician 0,0,0\n"
    "pool 0,start:technician 0,100,900\n"
    "pool 1,start:technician 0,110,1000\n"
    "pool 0,end:technician 0,120,1100\n"
    "pool 1,end:technician 0,130,1200\n";

}  // namespace

TEST_CASE("a table of drives is read with its quotes, byte-order mark and line ends", "[sim][rounds][unit]") {
  auto const plain = read_table(header + all_drives, tests::small_town(2, 1));
  CHECK(plain.problems == "");
  CHECK(plain.table.seconds(0, 1) == 60);
  CHECK(plain.table.metres(1, 0) == 600);
  CHECK(plain.table.seconds(1, 3) == 130);
  std::string dressed = "\xEF\xBB\xBF" + header + all_drives;
  for (std::size_t at = 0; (at = dressed.find('\n', at)) != std::string::npos; at += 2) dressed.replace(at, 1, "\r\n");
  dressed.replace(dressed.find("pool 0"), 6, "\"pool 0\"");
  auto const same = read_table(dressed, tests::small_town(2, 1));
  CHECK(same.problems == "");
  CHECK(same.table.seconds(0, 1) == 60);
}

TEST_CASE("mistakes in a table of drives are told by their line", "[sim][rounds][hostile]") {
  auto const two_pools = tests::small_town(2, 1);
  CHECK(read_table("from,to,time,distance\n", two_pools).problems ==
        "drives.csv:1: the header must be \"from,to,time (s),distance (m)\"\n");
  CHECK(read_table(header + all_drives + "pool 1,pool 2,-5,far\n", two_pools).problems ==
        "drives.csv:11: to: \"pool 2\" is neither a pool nor start:NAME or end:NAME of a technician; did you mean pool "
        "0?\n"
        "drives.csv:11: time (s): \"-5\" is not a time of at least 0; write seconds\n"
        "drives.csv:11: distance (m): \"far\" is not a distance of at least 0; write metres\n");
  CHECK(read_table(header + all_drives + "pool 0,pool 1,61,500\n", two_pools).problems ==
        "drives.csv:11: the drive from pool 0 to pool 1 is given twice; keep one line\n");
  CHECK(read_table(header + all_drives.substr(all_drives.find('\n') + 1), two_pools).problems ==
        "drives.csv: the drive from pool 0 to pool 1 is missing; add a line for it\n");
}

TEST_CASE("a table of drives cannot grow without bound", "[sim][rounds][hostile]") {
  CHECK(read_table(header, tests::small_town(most_places_of_pairs, 1))
            .problems.find(
                "the fleet and its technicians are 4002 places, more than the 4000 accepted with given travel times") !=
        std::string::npos);
  std::string wrong = header;
  for (int line = 0; line < 1000; ++line) wrong += "nowhere,pool 0,1,1\n";
  auto const problems = read_table(wrong, tests::small_town(2, 1)).problems;
  CHECK(problems.find("980 more faults in these lines") != std::string::npos);
  CHECK(std::count(problems.begin(), problems.end(), '\n') < 30);
}
