#pragma once
// The one scenario of a made-up small fleet that benchmarks and tests run, each with its own changes.

#include <map>
#include <string>

namespace brinecast::tools {

/// What fills which gap of small_fleet.toml; a gap that is not named keeps what the file says.
using SmallFleet = std::map<std::string, std::string>;

/// The scenario's text; it names the valley's climate by its full path. Throws std::invalid_argument for a gap that the
/// file does not have.
std::string small_fleet_text(SmallFleet changes);

/// For the gap `technicians`: so many, with the default working day.
std::string technicians(int count);

}  // namespace brinecast::tools
