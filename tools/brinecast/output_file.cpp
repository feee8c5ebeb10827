#include "tools/brinecast/output_file.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <fstream>
#include <system_error>

namespace brinecast::tools {

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

bool is_result_file(std::filesystem::path const& path) {
  constexpr std::string_view signature = "\x89HDF\r\n\x1a\n";
  std::string start(signature.size(), '\0');
  std::ifstream file(path, std::ios::binary);
  return file.read(start.data(), static_cast<std::streamsize>(start.size())) && start == signature;
}

std::string fault_of_overwriting(std::filesystem::path const& path, std::filesystem::path const& input) {
  std::error_code error;
  if (std::filesystem::equivalent(path, input, error)) {
    return fmt::format("--out {}: is the file that is read; give another name", path.string());
  }
  if (std::filesystem::is_regular_file(path, error) && is_result_file(path)) {
    return fmt::format("--out {}: is a result file and would be lost; give another name", path.string());
  }
  return "";
}

}  // namespace brinecast::tools
