#include "results/digest.hpp"

#include <fmt/format.h>
#include <nettle/sha2.h>

#include <array>
#include <fstream>
#include <stdexcept>
#include <vector>

namespace brinecast::results {

namespace {

class Sha256 {
 public:
  Sha256() { sha256_init(&context_); }
  void update(std::string_view bytes) {
    sha256_update(&context_, bytes.size(), reinterpret_cast<std::uint8_t const*>(bytes.data()));
  }
  std::string hexadecimal() {
    std::array<std::uint8_t, SHA256_DIGEST_SIZE> digest{};
    sha256_digest(&context_, digest.size(), digest.data());
    return fmt::format("{:02x}", fmt::join(digest, ""));
  }

 private:
  sha256_ctx context_{};
};

}  // namespace

std::string sha256(std::string_view bytes) {
  Sha256 hash;
  hash.update(bytes);
  return hash.hexadecimal();
}

std::string sha256_of_file(std::filesystem::path const& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file) throw std::runtime_error(fmt::format("{}: cannot be read", path.string()));
  Sha256 hash;
  std::vector<char> buffer(1 << 16);
  while (file) {
    file.read(buffer.data(), static_cast<std::streamsize>(buffer.size()));
    hash.update({buffer.data(), static_cast<std::size_t>(file.gcount())});
  }
  if (file.bad()) throw std::runtime_error(fmt::format("{}: reading failed", path.string()));
  return hash.hexadecimal();
}

}  // namespace brinecast::results
