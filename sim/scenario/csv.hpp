#pragma once
// Comma-separated values as RFC 4180 has them, with a byte-order mark and both line ends accepted, and the line of
// every row kept for messages.

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sim/scenario/problems.hpp"

namespace brinecast::sim {

/// The content of a regular file of at most `largest_bytes`. Faults go to `problems` under `shown_name`.
std::optional<std::string> read_text_file(std::filesystem::path const& path, std::string const& shown_name,
                                          std::uintmax_t largest_bytes, Problems& problems);

struct CsvRow {
  int line = 0;  // on which the row begins, from 1
  std::vector<std::string> cells;
};

struct CsvTable {
  int header_line = 1;
  std::vector<std::string> header;  // trimmed, not empty, each once
  std::vector<CsvRow> rows;         // each as wide as the header
};

/// Reads a table with one header row. Lines that begin with # before the header are comments; blank lines are skipped.
/// Rows that do not fit go to `problems` and are left out. Empty when no table can be made out at all.
std::optional<CsvTable> read_csv(std::string_view text, std::string const& file, Problems& problems);

/// The same for tables too long to be held: `take_header` gets the line and the names of the header and says whether to
/// go on, `take_row` every row that fits. False when no table can be made out at all or `take_header` said so.
bool read_csv_rows(std::string_view text, std::string const& file, Problems& problems,
                   std::function<bool(int line, std::vector<std::string> const& header)> const& take_header,
                   std::function<void(CsvRow&& row)> const& take_row);

/// "water_volume [gal]" is the column water_volume in gal.
struct ColumnHeader {
  std::string name;
  std::string unit;  // "" none given
};
ColumnHeader split_column_header(std::string_view header);

}  // namespace brinecast::sim
