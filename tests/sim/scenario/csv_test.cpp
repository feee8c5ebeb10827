// Comma-separated values as RFC 4180 (Shafranovich, 2005) defines them.

#include "sim/scenario/csv.hpp"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

using namespace brinecast::sim;

namespace {

using Cells = std::vector<std::string>;

CsvTable table_of(std::string_view text) {
  Problems problems;
  auto table = read_csv(text, "list.csv", problems);
  INFO(problems.text());
  REQUIRE(problems.empty());
  REQUIRE(table.has_value());
  return *table;
}

std::string problems_of(std::string_view text) {
  Problems problems;
  read_csv(text, "list.csv", problems);
  return problems.text();
}

}  // namespace

TEST_CASE("quoted cells hold commas, quotes and line ends", "[sim][scenario][unit]") {
  CsvTable const table = table_of("name,note\n\"Row, 12\",\"said \"\"yes\"\"\"\n\"two\nlines\",x\nlast,y\n");
  REQUIRE(table.rows.size() == 3);
  CHECK(table.rows[0].cells == Cells{"Row, 12", "said \"yes\""});
  CHECK(table.rows[1].cells == Cells{"two\nlines", "x"});
  CHECK(table.rows[2].cells == Cells{"last", "y"});
  CHECK(table.rows[1].line == 3);
  CHECK(table.rows[2].line == 5);  // a line end inside quotes counts as a line of the file
}

TEST_CASE("line ends of all systems, a byte-order mark and a missing last line end make no difference",
          "[sim][scenario][unit]") {
  for (std::string_view const text : {"a,b\n1,2\n3,4\n", "a,b\r\n1,2\r\n3,4\r\n", "a,b\r1,2\r3,4\r", "a,b\n1,2\n3,4",
                                      "\xEF\xBB\xBF"
                                      "a,b\r\n1,2\r\n3,4"}) {
    CsvTable const table = table_of(text);
    CHECK(table.header == Cells{"a", "b"});
    REQUIRE(table.rows.size() == 2);
    CHECK(table.rows[1].cells == Cells{"3", "4"});
    CHECK(table.rows[1].line == 3);
  }
}

TEST_CASE("blanks around cells, blank lines and comments before the header are passed over", "[sim][scenario][unit]") {
  CsvTable const table = table_of("# source, with a comma\n# more\n a , b \n\n 1 ,\t2\n   \n3,\n");
  CHECK(table.header == Cells{"a", "b"});
  CHECK(table.header_line == 3);
  REQUIRE(table.rows.size() == 2);
  CHECK(table.rows[0].cells == Cells{"1", "2"});
  CHECK(table.rows[1].cells == Cells{"3", ""});
  CHECK(table.rows[1].line == 7);
}

TEST_CASE("a number sign after the header is an entry like any other", "[sim][scenario][unit]") {
  CHECK(table_of("name\n#3 Alder Row\n").rows[0].cells == Cells{"#3 Alder Row"});
}

TEST_CASE("headers carry their unit in brackets", "[sim][scenario][unit]") {
  ColumnHeader const volume = split_column_header(" water_volume [ gal ] ");
  CHECK(volume.name == "water_volume");
  CHECK(volume.unit == "gal");
  CHECK(split_column_header("start_ph").unit.empty());
}

TEST_CASE("a damaged table is named with the line of the damage", "[sim][scenario][hostile]") {
  CHECK(problems_of("") == "list.csv: the table is empty; write a header row and a row for each entry\n");
  CHECK(problems_of("# only a comment\n") ==
        "list.csv: the table is empty; write a header row and a row for each entry\n");
  CHECK(problems_of("a,b\n1\n1,2,3\n") ==
        "list.csv:2: the row has 1 cells and the header 2; leave unknown cells empty, but keep their commas\n"
        "list.csv:3: the row has 3 cells and the header 2; quote cells that contain commas\n");
  CHECK(problems_of("a,b\n1,\"2\n3,4\n") == "list.csv:2: a quote opens here and is never closed; close it with \"\n");
  CHECK(problems_of("a,b\n\"1\"x,2\n") ==
        "list.csv:2: text follows the closing quote of a cell; double a quote inside a quoted cell (\"\")\n");
  CHECK(problems_of("a,a\n1,2\n") == "list.csv:1: column a appears twice; keep one\n");
  CHECK(problems_of(std::string("a,b\n1,\0\n", 8)) == "list.csv: this is not a text file; write a table in UTF-8\n");
  CHECK(problems_of("\xFF\xFE"
                    "a") == "list.csv: the file is written in UTF-16; save it as UTF-8\n");
  CHECK(problems_of("a\n\xC3\n") == "list.csv: the text is not valid UTF-8; save it as UTF-8\n");
  CHECK(problems_of("a\n\xC0\xAF\n") == "list.csv: the text is not valid UTF-8; save it as UTF-8\n");
}

TEST_CASE("a table whose rows all miss the header is not reported row by row", "[sim][scenario][hostile]") {
  std::string text = "a,b\n";
  for (int i = 0; i < 1000; ++i) text += "1;2\n";
  std::string const lines = problems_of(text);
  CHECK(std::count(lines.begin(), lines.end(), '\n') == 21);
  CHECK(lines.find("list.csv:22: more than 20 rows do not fit the header; check the separators") != std::string::npos);
}

TEST_CASE("only regular files of a sane size are read", "[sim][scenario][hostile]") {
  auto const folder = std::filesystem::temp_directory_path();
  auto const fault_of = [](std::filesystem::path const& path, std::uintmax_t largest) {
    Problems problems;
    CHECK_FALSE(read_text_file(path, "named", largest, problems).has_value());
    return problems.text();
  };
  CHECK(fault_of(folder, 10) == "named: this is a folder; name a file\n");
  CHECK(fault_of(folder / "no such file here", 10) == "named: there is no such file; check the path\n");
  CHECK(fault_of("/dev/zero", 10) == "named: this is not a regular file; name one\n");
  CHECK(fault_of(BRINECAST_SOURCE_DIR "/LICENSE", 10).find("more than the 10 accepted; split it") != std::string::npos);
}
