// README's table of limits holds what the readers refuse.

#include "sim/scenario/limits.hpp"

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <string>

namespace brinecast::sim {

namespace {

std::string with_commas(std::uintmax_t number) {
  std::string digits = std::to_string(number);
  for (auto at = static_cast<std::ptrdiff_t>(digits.size()) - 3; at > 0; at -= 3) {
    digits.insert(static_cast<std::size_t>(at), ",");
  }
  return digits;
}

}  // namespace

TEST_CASE("README lists every limit as the readers hold it, and no other", "[sim][scenario]") {
  std::ifstream file(BRINECAST_SOURCE_DIR "/README.md");
  std::string const text{std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
  std::string expected = "| at most | |\n|---|--:|\n";
  for (LimitRow const& row : limit_table) {
    expected += fmt::format("| {} | {}{}{} |\n", row.what, with_commas(row.most), row.unit.empty() ? "" : " ", row.unit);
  }
  auto const start = text.find("| at most | |");
  REQUIRE(start != std::string::npos);
  CHECK(text.substr(start, text.find("\n\n", start) + 1 - start) == expected);
}

}  // namespace brinecast::sim
