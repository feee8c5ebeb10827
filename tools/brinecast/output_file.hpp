#pragma once
// Writing a file that the user named, whole or not at all.

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace brinecast::tools {

/// Writes `content` beside `path` and moves it into place, so that no reader meets half a file and a link that lies
/// there is replaced, not followed; what is no regular file, such as a pipe, is written to directly. Returns why it
/// could not be done, in one line, or "".
std::string write_output(std::filesystem::path const& path, std::string_view content);

/// Whether a file begins as HDF5 files do.
bool is_result_file(std::filesystem::path const& path);

/// Why `--out path` must not be written, in one line: it names nothing that a file system takes, a file that is read, or
/// the finished tasks of an interrupted run. "" when it may.
std::string fault_of_output(std::filesystem::path const& path, std::vector<std::filesystem::path> const& read);

/// The same for what is no result itself and must not replace one.
std::string fault_of_page(std::filesystem::path const& path, std::vector<std::filesystem::path> const& read);

}  // namespace brinecast::tools
