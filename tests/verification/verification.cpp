// Runs every phenomenon, fails on each figure that is missed and prints the whole table.

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>

#include "tests/verification/report.hpp"

namespace brinecast::verification {

namespace {

void print_row(std::string_view phenomenon, Check const& check, bool good) {
  fmt::print("{:<16} {:<72.72} {:>12.6g} {:>12.6g} {:>11.3g} {:>9.2g} {} | {}\n", phenomenon, check.check,
             check.expected, check.got, check.got - check.expected, check.within, good ? "ok    " : "MISSED",
             check.source);
}

void run(std::string_view phenomenon, void (*verify)(Report&)) {
  Report report(phenomenon);
  verify(report);
  static bool const header_printed = [] {
    fmt::print("{:<16} {:<72} {:>12} {:>12} {:>11} {:>9}\n", "phenomenon", "check", "expected", "got", "error",
               "allowed");
    return true;
  }();
  REQUIRE(header_printed);
  REQUIRE_FALSE((report.checks().empty() && report.skipped().empty()));
  for (Check const& check : report.checks()) {
    bool const good = std::fabs(check.got - check.expected) <= check.within;  // false for NaN
    print_row(phenomenon, check, good);
    INFO(check.check << ": got " << check.got << ", expected " << check.expected << " within " << check.within << " ("
                     << check.source << ")");
    CHECK(good);
  }
  for (std::string const& file : report.skipped()) {
    WARN("SKIPPED: " << phenomenon << ": " << file << " is not in BRINECAST_DATA");
  }
}

}  // namespace

TEST_CASE("vapour pressure, latent heat, density and conductivity of water agree with handbooks",
          "[models][water][published]") {
  run("water", verify_water_properties);
}
TEST_CASE("evaporation agrees with the published equation and its ratios", "[models][water_balance][published]") {
  run("evaporation", verify_evaporation);
}
TEST_CASE("rain, overflow, leak and splash move water and salt as they must", "[models][water_balance][published]") {
  run("water balance", verify_water_balance);
}
TEST_CASE("sun, sky and air heat and cool a pool as published", "[models][heat][published]") {
  run("heat", verify_heat);
}
TEST_CASE("ice grows by Stefan's law and frost breaks still lines", "[models][freezing][published]") {
  run("ice and frost", verify_ice);
}
TEST_CASE("the sun stands where the published example says", "[models][sun][published]") { run("sun", verify_sun); }
TEST_CASE("pH follows alkalinity, carbon, stabiliser and borate as a geochemical code has it",
          "[models][carbonate][published]") {
  run("carbonate", verify_carbonate);
}
TEST_CASE("saturation agrees with a geochemical code over its grid", "[models][carbonate][published]") {
  run("saturation", verify_saturation);
}
TEST_CASE("carbon dioxide leaves the water at the published rate", "[models][carbonate][published]") {
  run("gas exchange", verify_gas_exchange);
}
TEST_CASE("the forms of chlorine agree with published equilibria", "[models][chlorine][published]") {
  run("chlorine forms", verify_chlorine_forms);
}
TEST_CASE("sunlight and warmth destroy chlorine at published rates", "[models][chlorine][published]") {
  run("chlorine loss", verify_chlorine_loss);
}
TEST_CASE("breakpoint takes the chlorine of its stoichiometry", "[models][chlorine][published]") {
  run("combined", verify_combined_chlorine);
}
TEST_CASE("active chlorine, not free chlorine, holds algae", "[models][chlorine][published]") {
  run("algae", verify_algae);
}
TEST_CASE("a cell makes chlorine by Faraday's law within its windows", "[models][cell][published]") {
  run("production", verify_cell_production);
}
TEST_CASE("scale grows at the cathode by the published rate law and as practice knows it",
          "[models][cell][published]") {
  run("scale", verify_scale);
}
TEST_CASE("coatings wear, and live a random life", "[models][cell][published]") { run("coating", verify_coating); }
TEST_CASE("warnings light for their causes, true and false", "[models][cell][published]") {
  run("warnings", verify_warnings);
}
TEST_CASE("doses are exact in moles", "[models][dosing][published]") { run("dosing", verify_dosing); }
TEST_CASE("a class A pan evaporates and warms as measured in Death Valley", "[models][heat][published]") {
  run("pan", verify_pan);
}

}  // namespace brinecast::verification
