#pragma once
// SHA-256 of texts and files, so that a result can prove which inputs it came from.

#include <filesystem>
#include <string>
#include <string_view>

namespace brinecast::results {

/// SHA-256 (FIPS 180-4) as 64 lower-case hexadecimal digits.
std::string sha256(std::string_view bytes);

/// SHA-256 of a file's content. Throws std::runtime_error with one line when the file cannot be read.
std::string sha256_of_file(std::filesystem::path const& path);

}  // namespace brinecast::results
