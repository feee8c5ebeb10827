#pragma once
// The processes that work on one run: this one alone, or the ranks that mpirun started.

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace brinecast::sim {

/// Talks to the other ranks. All members may be called from any thread, the collective ones by one thread of every
/// rank.
class Ranks {
 public:
  enum Join { join };
  /// This process alone.
  Ranks();
  /// All that mpirun started; this process alone when it did not, or when the program was built without MPI.
  explicit Ranks(Join);
  Ranks(Ranks const&) = delete;
  Ranks& operator=(Ranks const&) = delete;
  /// Collective: waits for all ranks.
  ~Ranks();

  [[nodiscard]] int own() const { return own_; }
  [[nodiscard]] int count() const { return count_; }
  [[nodiscard]] bool leads() const { return own_ == 0; }

  /// How many ranks work on this machine. They share its processors: none keeps to the part that mpirun bound it to, so
  /// that a rank's helping threads and its last tasks find the processors that others leave idle.
  [[nodiscard]] int on_machine() const { return on_machine_; }

  /// Collective: what every rank says, by rank.
  std::vector<std::string> exchange(std::string const& mine);

  struct Message {
    int from = 0;
    int tag = 0;
    std::string bytes;
  };
  /// A message of this tag that has come; any tag below 0. Does not wait.
  std::optional<Message> poll(int tag);
  /// Hands a message on. Throws std::length_error above 2 GB.
  void send(int to, int tag, std::string const& bytes);

  /// Ends this process without the farewell of all ranks that MPI asks for: when some of them have died.
  [[noreturn]] static void leave_at_once(int exit_code);

 private:
  struct Connection;
  void share_machine();
  static void meet();
  std::unique_ptr<Connection> connection_;  // none in a run of one rank
  int own_ = 0;
  int count_ = 1;
  int on_machine_ = 1;
};

}  // namespace brinecast::sim
