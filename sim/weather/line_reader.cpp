#include "sim/weather/line_reader.hpp"

#include <charconv>
#include <cstring>

#include <fmt/format.h>

#include "sim/scenario/limits.hpp"

namespace brinecast::sim {

LineReader::LineReader(std::filesystem::path const& path) : buffer_(65'536) {
  std::error_code error;
  auto const status = std::filesystem::status(path, error);
  if (!std::filesystem::exists(status)) {
    fault_ = "the file does not exist; check the path, which counts from the scenario's folder";
  } else if (!std::filesystem::is_regular_file(status)) {
    fault_ = "this is not a file; name a weather file";
  } else if (auto const bytes = std::filesystem::file_size(path, error); !error && bytes > largest_weather_bytes) {
    // Told before reading: a hole of zeros costs nothing on disk but hours to read.
    fault_ = fmt::format("the file is {:.1f} GB long, more than any station's weather record; name a file below 1 GB",
                         static_cast<double>(bytes) * 1e-9);
  } else {
    file_.open(path, std::ios::binary);
    if (!file_) fault_ = "the file cannot be opened; check that you may read it";
  }
}

bool LineReader::fill() {
  file_.read(buffer_.data(), static_cast<std::streamsize>(buffer_.size()));
  filled_ = static_cast<std::size_t>(file_.gcount());
  at_ = 0;
  return filled_ > 0;
}

bool LineReader::next(std::string& line) {
  line.clear();
  if (!fault_.empty()) return false;
  bool any = false;
  while (at_ < filled_ || fill()) {
    any = true;
    char const* const start = buffer_.data() + at_;
    auto const* const end = static_cast<char const*>(std::memchr(start, '\n', filled_ - at_));
    std::size_t const length = end != nullptr ? static_cast<std::size_t>(end - start) : filled_ - at_;
    if (line.size() + length > longest_weather_line_bytes) {
      fault_ = fmt::format("line {} is longer than {} bytes; this is not a weather file", line_number_ + 1,
                           longest_weather_line_bytes);
      return false;
    }
    line.append(start, length);
    at_ += length + (end != nullptr ? 1 : 0);
    if (end != nullptr) break;
  }
  if (!any) return false;
  ++line_number_;
  if (line_number_ > most_weather_lines) {
    fault_ = fmt::format("more than {} lines; this is not one station's weather", most_weather_lines);
    return false;
  }
  if (line.find('\0') != std::string::npos) {
    fault_ = fmt::format("line {} holds zero bytes; this is not a text file", line_number_);
    return false;
  }
  if (!line.empty() && line.back() == '\r') line.pop_back();
  if (line_number_ == 1 && line.starts_with("\xEF\xBB\xBF")) line.erase(0, 3);  // byte order mark
  return true;
}

std::string_view trimmed(std::string_view text) {
  auto const first = text.find_first_not_of(" \t\r");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r") - first + 1);
}

std::optional<int> whole_number(std::string_view text) {
  text = trimmed(text);
  int value = 0;
  auto const [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

void split_fields(std::string_view line, std::vector<std::string>& fields) {
  std::size_t count = 0;
  auto const field = [&]() -> std::string& {
    if (count == fields.size()) fields.emplace_back();
    fields[count].clear();
    return fields[count++];
  };
  std::size_t at = 0;
  while (true) {
    std::string& value = field();
    while (at < line.size() && (line[at] == ' ' || line[at] == '\t')) ++at;
    if (at < line.size() && line[at] == '"') {
      for (++at; at < line.size(); ++at) {
        if (line[at] != '"') {
          value += line[at];
        } else if (at + 1 < line.size() && line[at + 1] == '"') {
          value += line[at++];
        } else {
          ++at;
          break;
        }
      }
      at = std::min(line.find(',', at), line.size());
    } else {
      auto const end = std::min(line.find(',', at), line.size());
      value = trimmed(line.substr(at, end - at));
      at = end;
    }
    if (at >= line.size()) break;
    ++at;
  }
  fields.resize(count);
}

}  // namespace brinecast::sim
