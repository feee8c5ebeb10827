#pragma once
// Lines of a text file, one at a time: memory stays bounded whatever the file holds.

#include <cstdint>
#include <filesystem>
#include <fstream>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace brinecast::sim {

/// Reads lines of at most `longest_weather_line_bytes`. The first thing that no text file holds (a NUL byte, an endless line)
/// stops the reading and is told by `fault()`.
class LineReader {
 public:
  explicit LineReader(std::filesystem::path const& path);

  /// The next line without its end of line (LF or CRLF); false at the end of the file or at a fault.
  bool next(std::string& line);
  /// The number of the line last read, from 1.
  [[nodiscard]] int line_number() const { return line_number_; }
  /// What is wrong with the file, and what would be right; empty when nothing is.
  [[nodiscard]] std::string const& fault() const { return fault_; }

 private:
  bool fill();

  std::ifstream file_;
  std::vector<char> buffer_;
  std::size_t at_ = 0, filled_ = 0;
  int line_number_ = 0;
  std::string fault_;
};

/// Fields of a line of comma separated values (RFC 4180; a field never spans lines), spaces around them removed.
void split_fields(std::string_view line, std::vector<std::string>& fields);

std::string_view trimmed(std::string_view text);

/// The whole number that a text is, blanks around it aside; nothing when it is none or does not fit.
std::optional<int> whole_number(std::string_view text);

}  // namespace brinecast::sim
