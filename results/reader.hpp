#pragma once
// Opens a result file, refuses what it does not know, and hands out its arrays.

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "results/error.hpp"
#include "results/run_description.hpp"

namespace brinecast::results {

/// How the run that wrote the file went.
struct RunRecord {
  std::string created, command;
  double nanoseconds_per_pool_hour = 0.0, kernel_nanoseconds_per_pool_hour = 0.0;
  double largest_book_error = 0.0;
  bool complete = false;
};

class ResultFile {
 public:
  /// Opens and checks the file: its type, format version, variables, shapes and units. Throws ResultError with one line
  /// that names what was found and what was expected.
  explicit ResultFile(std::filesystem::path path);
  ResultFile(ResultFile&&) noexcept;
  ~ResultFile();

  [[nodiscard]] std::filesystem::path const& path() const;
  [[nodiscard]] RunDescription const& run() const;
  [[nodiscard]] RunRecord const& record() const;
  /// Index of the policy or pool of that name. Throws ResultError with a name that is near, or one that is there.
  [[nodiscard]] std::size_t policy_named(std::string const& name) const;
  [[nodiscard]] std::size_t pool_named(std::string const& name) const;
  /// Whether the variable is in the file; one over an empty axis (say, no hourly traces) is not.
  [[nodiscard]] bool has(std::string_view variable) const;
  /// Length of each axis of the variable.
  [[nodiscard]] std::vector<std::size_t> shape(std::string_view variable) const;
  /// All values of a variable that is no text, the last axis running fastest, missing ones NaN.
  [[nodiscard]] std::vector<double> read(std::string_view variable) const;
  /// Values of a variable whose first axes are policy and replicate: [the other axes] of one task.
  [[nodiscard]] std::vector<double> read_task(std::string_view variable, std::size_t policy,
                                              std::uint32_t replicate) const;
  /// Replicates that are complete under every policy; comparisons use these alone.
  [[nodiscard]] std::vector<std::uint32_t> paired_replicates() const;

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace brinecast::results
