#include "results/table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace brinecast::results {

namespace {

std::size_t code_points(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) { return (c & 0xC0) != 0x80; }));
}

}  // namespace

std::string table_text(std::vector<std::vector<std::string>> const& rows, std::size_t left_columns) {
  std::vector<std::size_t> widths;
  for (auto const& row : rows) {
    widths.resize(std::max(widths.size(), row.size()), 0);
    for (std::size_t i = 0; i < row.size(); ++i) widths[i] = std::max(widths[i], code_points(row[i]));
  }
  std::string text;
  for (std::size_t r = 0; r < rows.size(); ++r) {
    std::string line;
    for (std::size_t i = 0; i < rows[r].size(); ++i) {
      std::string const padding(widths[i] - code_points(rows[r][i]), ' ');
      if (i > 0) line += "  ";
      line += i < left_columns ? rows[r][i] + padding : padding + rows[r][i];
    }
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + "\n";
    if (r == 0) {
      std::size_t width = 2 * (widths.size() - 1);
      for (auto const each : widths) width += each;
      text += std::string(width, '-') + "\n";
    }
  }
  return text;
}

std::string number_text(double value, int decimals) {
  if (std::isnan(value)) return "-";
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.front() == '-' && text.find_first_not_of("-0.") == std::string::npos) text.erase(0, 1);
  return text;
}

std::string signed_number(double value, int decimals) {
  std::string const text = number_text(value, decimals);
  bool const zero = text.find_first_not_of("0.") == std::string::npos;
  return text.front() == '-' || zero ? text : "+" + text;
}

std::string count_text(std::size_t count, std::string_view one) {
  return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

std::string wrapped(std::string_view paragraph) {
  constexpr std::size_t longest = 100;
  std::string text;
  std::size_t column = 0;
  while (!paragraph.empty()) {
    std::size_t const end = std::min(paragraph.find(' '), paragraph.size());
    auto const word = paragraph.substr(0, end);
    if (column > 0 && column + 1 + code_points(word) > longest) {
      text += '\n';
      column = 0;
    } else if (column > 0) {
      text += ' ';
      ++column;
    }
    text += word;
    column += code_points(word);
    paragraph.remove_prefix(std::min(end + 1, paragraph.size()));
  }
  return text;
}

std::string csv_field(std::string_view text) {
  if (text.find_first_of(",\"\r\n") == std::string_view::npos) return std::string(text);
  std::string quoted = "\"";
  for (char const c : text) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + '"';
}

std::string csv_number(double value) { return std::isfinite(value) ? fmt::format("{}", value) : std::string{}; }

}  // namespace brinecast::results
