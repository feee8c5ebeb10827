#pragma once
// Writing a file that the user named, whole or not at all.

#include <filesystem>
#include <string>
#include <string_view>

namespace brinecast::tools {

/// Writes `content` beside `path` and moves it into place, so that no reader meets half a file and a link that lies
/// there is replaced, not followed; what is no regular file, such as a pipe, is written to directly. Returns why it
/// could not be done, in one line, or "".
std::string write_output(std::filesystem::path const& path, std::string_view content);

/// Whether a file begins as HDF5 files do.
bool is_result_file(std::filesystem::path const& path);

/// Why `path` must not be written over: it is the file that is read, or a result file. "" when it may.
std::string fault_of_overwriting(std::filesystem::path const& path, std::filesystem::path const& input);

}  // namespace brinecast::tools
