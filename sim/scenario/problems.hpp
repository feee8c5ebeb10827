#pragma once
// What is wrong with the user's input: all of it at once, each in one line that names the place and the remedy.

#include <string>
#include <string_view>
#include <vector>

namespace brinecast::sim {

/// One thing wrong. Printed as `file:line:column: place: what is wrong; what would be right`.
struct Problem {
  std::string file;
  int line = 0;         // 0: the whole file
  int column = 0;       // 0: the whole line
  std::string place;    // key or column, may be empty
  std::string message;  // what is wrong (why); what would be right
};

class Problems {
 public:
  void add(Problem problem) { problems_.push_back(std::move(problem)); }
  [[nodiscard]] bool empty() const { return problems_.empty(); }
  [[nodiscard]] std::vector<Problem> const& all() const { return problems_; }
  /// One line a problem, in the order of files and lines.
  [[nodiscard]] std::string text() const;

 private:
  std::vector<Problem> problems_;
};

/// The known word nearest to `word` by edit distance, or "" when none is near enough to suggest.
std::string nearest_word(std::string_view word, std::vector<std::string> const& known);

}  // namespace brinecast::sim
