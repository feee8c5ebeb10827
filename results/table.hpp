#pragma once
// Text tables, wrapped sentences and CSV fields for standard output.

#include <string>
#include <string_view>
#include <vector>

namespace brinecast::results {

/// Rows of cells in aligned columns, the first `left_columns` to the left and the rest to the right, a line under the
/// head. Columns count code points, so that names in any script line up (wide characters aside).
std::string table_text(std::vector<std::vector<std::string>> const& rows, std::size_t left_columns = 1);

/// With so many decimals, and never a negative zero; `signed_number` also shows a plus sign.
std::string number_text(double value, int decimals);
std::string signed_number(double value, int decimals);

/// "1 pool", "2 pools".
std::string count_text(std::size_t count, std::string_view one);

/// Breaks a paragraph at spaces into lines of at most 100 characters.
std::string wrapped(std::string_view paragraph);

/// A field of a CSV row, quoted where RFC 4180 asks for it.
std::string csv_field(std::string_view text);
/// Shortest digits that read back as the same number; empty for NaN and infinity.
std::string csv_number(double value);

}  // namespace brinecast::results
