#include "tests/verification/report.hpp"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace brinecast::verification {

namespace {

models::Parameters defaults_with_mutation() {
  models::Parameters parameters;
  char const* const mutation = std::getenv("BRINECAST_MUTATED_PARAMETER");  // "name factor"
  if (mutation == nullptr) {
    return parameters;
  }
  std::istringstream words(mutation);
  std::string name;
  double factor = 1.0;
  words >> name >> factor;
  for (models::ParameterInfo const& info : models::parameter_table()) {
    if (info.name == name) {
      parameters.*info.member *= factor;
      return parameters;
    }
  }
  throw std::runtime_error("no parameter is called " + name);
}

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
  static models::Parameters const defaults = defaults_with_mutation();
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
