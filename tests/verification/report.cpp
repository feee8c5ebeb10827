#include "tests/verification/report.hpp"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace brinecast::verification {

namespace {

std::vector<std::string> split(std::string const& line) {
  std::vector<std::string> cells;
  std::istringstream stream(line);
  for (std::string cell; std::getline(stream, cell, ',');) {
    cells.push_back(cell.substr(0, cell.find('\r')));
  }
  return cells;
}

}  // namespace

models::Parameters const& parameters() {
  static models::Parameters const defaults;
  return defaults;
}

std::string data_path(std::string const& relative_path) {
  char const* const root = std::getenv("BRINECAST_DATA");
  std::filesystem::path const path =
      (root != nullptr ? std::filesystem::path(root) : std::filesystem::path(BRINECAST_DEFAULT_DATA)) / relative_path;
  return std::filesystem::exists(path) ? path.string() : std::string();
}

Table::Table(std::string const& relative_path, Report& report) {
  std::string const path = data_path(relative_path);
  if (path.empty()) {
    report.skip(relative_path);
    return;
  }
  std::ifstream file(path);
  std::string line;
  std::getline(file, line);
  header_ = split(line);
  while (std::getline(file, line)) {
    if (line.find_first_not_of("\r") != std::string::npos) {
      cells_.push_back(split(line));
    }
  }
}

std::string const& Table::text(std::size_t row, std::string_view column) const {
  auto const found = std::find(header_.begin(), header_.end(), column);
  return cells_.at(row).at(static_cast<std::size_t>(found - header_.begin()));
}

double Table::value(std::size_t row, std::string_view column) const { return std::stod(text(row, column)); }

}  // namespace brinecast::verification
