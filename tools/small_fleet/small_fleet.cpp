#include "tools/small_fleet/small_fleet.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>
#include <stdexcept>

namespace brinecast::tools {

std::string small_fleet_text(SmallFleet changes) {
  std::filesystem::path const top = BRINECAST_SOURCE_DIR;
  changes.try_emplace("climate", (top / "scenarios/valley/climate.csv").string());
  std::ifstream file(top / "tools/small_fleet/small_fleet.toml");
  std::ostringstream whole;
  whole << file.rdbuf();
  std::string const frame = whole.str();
  std::string text;
  std::set<std::string> gaps;
  // Every other piece between two @ is a gap.
  bool gap = false;
  for (std::size_t begin = 0; begin <= frame.size(); gap = !gap) {
    std::size_t const end = std::min(frame.find('@', begin), frame.size());
    std::string const piece = frame.substr(begin, end - begin);
    begin = end + 1;
    if (!gap) {
      text += piece;
      continue;
    }
    std::size_t const colon = piece.find(':');
    std::string const name = piece.substr(0, colon);
    gaps.insert(name);
    auto const change = changes.find(name);
    text += change != changes.end() ? change->second : piece.substr(colon + 1);
  }
  for (auto const& [name, value] : changes) {
    if (gaps.count(name) == 0) throw std::invalid_argument("small_fleet.toml has no gap " + name);
  }
  return text;
}

std::string technicians(int count) {
  std::string text;
  for (int i = 0; i < count; ++i) text += "[[technicians]]\nname = \"Technician " + std::to_string(i + 1) + "\"\n";
  return text;
}

}  // namespace brinecast::tools
