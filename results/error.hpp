#pragma once
// What went wrong with a result file, in one line for the user.

#include <stdexcept>

namespace brinecast::results {

/// The message names the file, what is wrong with it and what would be right.
class ResultError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

}  // namespace brinecast::results
