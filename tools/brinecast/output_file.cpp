#include "tools/brinecast/output_file.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <fstream>
#include <system_error>

#include "results/journal.hpp"

namespace brinecast::tools {

namespace {

bool begins_with(std::filesystem::path const& path, std::string_view start) {
  std::error_code error;
  if (!std::filesystem::is_regular_file(path, error)) return false;  // opening a pipe would wait for its writer
  std::string found(start.size(), '\0');
  std::ifstream file(path, std::ios::binary);
  return file.read(found.data(), static_cast<std::streamsize>(found.size())) && found == start;
}

}  // namespace

std::string write_output(std::filesystem::path const& path, std::string_view content) {
  std::error_code error;
  auto const status = std::filesystem::status(path, error);
  bool const aside = !std::filesystem::exists(status) || std::filesystem::is_regular_file(status);
  std::filesystem::path const written = path.string() + (aside ? fmt::format(".writing-{}", getpid()) : "");
  if (aside) std::filesystem::remove(written, error);  // of a process before this one that had its number
  std::ofstream file(written, std::ios::binary | std::ios::trunc);
  file << content;
  file.close();
  bool sound = static_cast<bool>(file);
  if (sound && aside) {
    std::filesystem::rename(written, path, error);
    sound = !error;
  }
  if (sound) return "";
  if (aside) std::filesystem::remove(written, error);
  return fmt::format(
      "{} cannot be written; check that its folder is there, that you may write into it, and the room on the disk",
      path.string());
}

bool is_result_file(std::filesystem::path const& path) { return begins_with(path, "\x89HDF\r\n\x1a\n"); }

std::string fault_of_output(std::filesystem::path const& path, std::vector<std::filesystem::path> const& read) {
  if (path.empty()) return "--out is empty; name a file";
  std::error_code error;
  if (std::filesystem::status(path, error).type() == std::filesystem::file_type::none) {
    return fmt::format("--out {}: cannot be looked up ({}); give another name", path.string(), error.message());
  }
  for (auto const& input : read) {
    if (!std::filesystem::equivalent(path, input, error)) continue;
    return fmt::format("--out {}: is a file that is read and would be lost; give another name", path.string());
  }
  if (begins_with(path, results::journal_start)) {
    return fmt::format("--out {}: holds finished tasks of an interrupted run, which would be lost; give another name",
                       path.string());
  }
  return "";
}

std::string fault_of_page(std::filesystem::path const& path, std::vector<std::filesystem::path> const& read) {
  auto fault = fault_of_output(path, read);
  if (fault.empty() && is_result_file(path)) {
    fault = fmt::format("--out {}: is a result file and would be lost; give another name", path.string());
  }
  return fault;
}

}  // namespace brinecast::tools
