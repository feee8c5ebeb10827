#pragma once
// Checks of the models against figures that others published, gathered into one table.

#include <string>
#include <string_view>
#include <vector>

#include "models/parameters.hpp"

namespace brinecast::verification {

/// One check: what a model gives beside the figure, how far they may differ, and whose figure it is.
struct Check {
  std::string check;
  double got;
  double expected;
  double within;  // largest difference allowed, in the figure's unit
  std::string_view source;
};

/// Shortest way to a tolerance in relation to the figure.
inline double per_cent(double share, double expected) { return share * 0.01 * (expected < 0 ? -expected : expected); }

/// The rows of one phenomenon.
class Report {
 public:
  explicit Report(std::string_view phenomenon) : phenomenon_(phenomenon) {}
  void compare(Check check) { checks_.push_back(std::move(check)); }
  /// A check that needs a file of open data which is not there.
  void skip(std::string_view file) { skipped_.emplace_back(file); }
  [[nodiscard]] std::string_view phenomenon() const { return phenomenon_; }
  [[nodiscard]] std::vector<Check> const& checks() const { return checks_; }
  [[nodiscard]] std::vector<std::string> const& skipped() const { return skipped_; }

 private:
  std::string_view phenomenon_;
  std::vector<Check> checks_;
  std::vector<std::string> skipped_;
};

/// The documented defaults.
models::Parameters const& parameters();

/// Rows of a CSV file under the open data, or none with a skip noted. Columns are found by name.
class Table {
 public:
  Table(std::string const& relative_path, Report& report);
  [[nodiscard]] std::size_t rows() const { return cells_.size(); }
  [[nodiscard]] std::string const& text(std::size_t row, std::string_view column) const;
  [[nodiscard]] double value(std::size_t row, std::string_view column) const;

 private:
  std::vector<std::string> header_;
  std::vector<std::vector<std::string>> cells_;
};

/// Path of a file of the open data; empty where it is not there.
std::string data_path(std::string const& relative_path);

// One function a phenomenon, each in its own file.
void verify_water_properties(Report& report);
void verify_evaporation(Report& report);
void verify_water_balance(Report& report);
void verify_heat(Report& report);
void verify_ice(Report& report);
void verify_sun(Report& report);
void verify_carbonate(Report& report);
void verify_saturation(Report& report);
void verify_gas_exchange(Report& report);
void verify_chlorine_forms(Report& report);
void verify_chlorine_loss(Report& report);
void verify_combined_chlorine(Report& report);
void verify_algae(Report& report);
void verify_cell_production(Report& report);
void verify_scale(Report& report);
void verify_coating(Report& report);
void verify_warnings(Report& report);
void verify_dosing(Report& report);
void verify_pan(Report& report);

}  // namespace brinecast::verification
