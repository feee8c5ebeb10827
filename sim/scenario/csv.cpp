#include "sim/scenario/csv.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <system_error>

#include "sim/scenario/shown_text.hpp"

namespace brinecast::sim {

namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

std::string_view trimmed(std::string_view text) {
  auto const first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

/// Takes one row after another from the text.
class CsvScanner {
 public:
  CsvScanner(std::string_view text, std::string const& file, Problems& problems)
      : text_(text), file_(file), problems_(problems) {}

  void skip_comments() {
    while (at_ < text_.size() && text_[at_] == '#') {
      while (at_ < text_.size() && text_[at_] != '\n' && text_[at_] != '\r') ++at_;
      take_line_end();
    }
  }

  /// The next row that is not blank; empty at the end of the text.
  std::optional<CsvRow> next() {
    while (at_ < text_.size()) {
      CsvRow row{line_, {}};
      bool sound = true;
      do {
        row.cells.push_back(take_cell(sound));
      } while (take_comma());
      take_line_end();
      bool const blank = row.cells.size() == 1 && trimmed(row.cells.front()).empty();
      if (sound && !blank) return row;
    }
    return std::nullopt;
  }

 private:
  bool take_comma() {
    if (at_ >= text_.size() || text_[at_] != ',') return false;
    ++at_;
    return true;
  }

  void take_line_end() {
    if (at_ < text_.size() && text_[at_] == '\r') ++at_;
    if (at_ < text_.size() && text_[at_] == '\n') ++at_;
    ++line_;
  }

  std::string take_cell(bool& sound) {
    std::size_t const start = at_;
    while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\t')) ++at_;
    if (at_ < text_.size() && text_[at_] == '"') return take_quoted(sound);
    while (at_ < text_.size() && text_[at_] != ',' && text_[at_] != '\n' && text_[at_] != '\r') ++at_;
    return std::string(trimmed(text_.substr(start, at_ - start)));
  }

  std::string take_quoted(bool& sound) {
    int const opened = line_;
    std::string cell;
    for (++at_; at_ < text_.size(); ++at_) {
      char const c = text_[at_];
      if (c == '"' && at_ + 1 < text_.size() && text_[at_ + 1] == '"') {
        cell += '"';
        ++at_;
      } else if (c == '"') {
        ++at_;
        std::size_t const start = at_;
        while (at_ < text_.size() && text_[at_] != ',' && text_[at_] != '\n' && text_[at_] != '\r') ++at_;
        if (!trimmed(text_.substr(start, at_ - start)).empty()) {
          problems_.add({file_, opened, 0, "",
                         "text follows the closing quote of a cell; double a quote inside a quoted cell (\"\")"});
          sound = false;
        }
        return cell;
      } else {
        if (c == '\n' || (c == '\r' && (at_ + 1 == text_.size() || text_[at_ + 1] != '\n'))) ++line_;
        cell += c;
      }
    }
    problems_.add({file_, opened, 0, "", "a quote opens here and is never closed; close it with \""});
    sound = false;
    return cell;
  }

  std::string_view text_;
  std::string const& file_;
  Problems& problems_;
  std::size_t at_ = 0;
  int line_ = 1;
};

}  // namespace

std::optional<std::string> read_text_file(std::filesystem::path const& path, std::string const& shown_name,
                                          std::uintmax_t largest_bytes, Problems& problems) {
  auto const fault = [&](std::string message) {
    problems.add({shown_name, 0, 0, "", std::move(message)});
    return std::nullopt;
  };
  std::error_code error;
  auto const status = std::filesystem::status(path, error);
  if (!std::filesystem::exists(status)) return fault("there is no such file; check the path");
  if (std::filesystem::is_directory(status)) return fault("this is a folder; name a file");
  if (!std::filesystem::is_regular_file(status)) return fault("this is not a regular file; name one");
  auto const size = std::filesystem::file_size(path, error);
  if (error) return fault("its size cannot be read (" + error.message() + "); check the permissions");
  if (size > largest_bytes) {
    return fault(fmt::format("the file has {} bytes, more than the {} accepted; split it", size, largest_bytes));
  }
  std::ifstream in(path, std::ios::binary);
  if (!in) return fault("it cannot be opened for reading; check the permissions");
  std::string text(static_cast<std::size_t>(size), '\0');
  in.read(text.data(), static_cast<std::streamsize>(text.size()));
  if (static_cast<std::uintmax_t>(in.gcount()) != size) return fault("it could not be read to its end; try again");
  return text;
}

bool read_csv_rows(std::string_view text, std::string const& file, Problems& problems,
                   std::function<bool(int line, std::vector<std::string> const& header)> const& take_header,
                   std::function<void(CsvRow&& row)> const& take_row) {
  auto const fault = [&](int line, std::string message) {
    problems.add({file, line, 0, "", std::move(message)});
    return false;
  };
  if (text.substr(0, 2) == "\xFF\xFE" || text.substr(0, 2) == "\xFE\xFF") {
    return fault(0, "the file is written in UTF-16; save it as UTF-8");
  }
  if (text.find('\0') != std::string_view::npos) return fault(0, "this is not a text file; write a table in UTF-8");
  if (!valid_utf8(text)) return fault(0, "the text is not valid UTF-8; save it as UTF-8");
  if (text.substr(0, byte_order_mark.size()) == byte_order_mark) text.remove_prefix(byte_order_mark.size());

  CsvScanner scanner(text, file, problems);
  scanner.skip_comments();
  auto header = scanner.next();
  if (!header) return fault(0, "the table is empty; write a header row and a row for each entry");
  for (char const separator : {';', '\t'}) {
    if (header->cells.size() == 1 && header->cells.front().find(separator) != std::string::npos) {
      return fault(
          header->line,
          fmt::format("the columns are separated by {}; separate them by commas, with a decimal point in numbers",
                      separator == ';' ? "semicolons" : "tabs"));
    }
  }
  std::vector<std::string> names;
  for (auto const& cell : header->cells) {
    std::string name(trimmed(cell));
    if (name.empty()) {
      return fault(header->line, fmt::format("column {} has no name; name it or remove it", names.size() + 1));
    }
    if (std::find(names.begin(), names.end(), name) != names.end()) {
      return fault(header->line, fmt::format("column {} appears twice; keep one", name));
    }
    names.push_back(std::move(name));
  }
  if (!take_header(header->line, names)) return false;
  int faulty = 0;
  while (auto row = scanner.next()) {
    if (row->cells.size() == names.size()) {
      take_row(std::move(*row));
      continue;
    }
    // A wrong separator would otherwise fill the screen.
    if (++faulty > 20) {
      return fault(row->line, "more than 20 rows do not fit the header; check the separators");
    }
    problems.add({file, row->line, 0, "",
                  fmt::format("the row has {} cells and the header {}; {}", row->cells.size(), names.size(),
                              row->cells.size() > names.size() ? "quote cells that contain commas"
                                                               : "leave unknown cells empty, but keep their commas")});
  }
  return true;
}

std::optional<CsvTable> read_csv(std::string_view text, std::string const& file, Problems& problems) {
  CsvTable table;
  auto const take_header = [&](int line, std::vector<std::string> const& header) {
    table.header_line = line;
    table.header = header;
    return true;
  };
  if (!read_csv_rows(text, file, problems, take_header, [&](CsvRow&& row) { table.rows.push_back(std::move(row)); })) {
    return std::nullopt;
  }
  return table;
}

ColumnHeader split_column_header(std::string_view header) {
  header = trimmed(header);
  auto const open = header.find('[');
  if (open == std::string_view::npos || header.back() != ']') return {std::string(header), ""};
  return {std::string(trimmed(header.substr(0, open))),
          std::string(trimmed(header.substr(open + 1, header.size() - open - 2)))};
}

}  // namespace brinecast::sim
