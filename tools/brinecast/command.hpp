#pragma once
// The frame of the command line. A subcommand is one file that registers itself; deleting the file deletes the
// subcommand.

#include <boost/program_options.hpp>
#include <charconv>
#include <concepts>
#include <functional>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace brinecast::tools {

/// Exit codes of every subcommand.
enum ExitCode : int { fine = 0, input_at_fault = 1, wrong_usage = 2, interrupted = 3 };

using Arguments = std::vector<std::string>;

struct Command {
  std::string name;
  std::string summary;  // one line
  std::function<int(Arguments const&)> run;
};

/// Registered subcommands by name.
std::vector<Command> const& commands();

/// A static object of this type in a subcommand's file adds it to the frame.
class CommandRegistration {
 public:
  explicit CommandRegistration(Command command);
};

/// Options and positional arguments of one subcommand: parsing, help, and one clear line for each mistake.
class CommandLine {
 public:
  CommandLine(std::string name, std::string summary);

  /// Named options, e.g. `options().add_options()("out", po::value<std::string>()->value_name("FILE.h5"), "result
  /// file")`.
  boost::program_options::options_description& options() { return named_; }
  /// A required positional argument, shown as `shown_as` in the help and read as `name` from the result.
  CommandLine& positional(std::string name, std::string shown_as, std::string meaning);
  /// Like `positional`, but takes all words that are left, at least one.
  CommandLine& positionals(std::string name, std::string shown_as, std::string meaning);
  /// Text under the options in the help: examples, cautions.
  CommandLine& epilogue(std::string text);

  /// The values; or nothing, with the exit code to return, after printing the help or one line about a wrong word.
  [[nodiscard]] std::optional<boost::program_options::variables_map> parse(Arguments const& arguments,
                                                                           int& exit_code) const;

 private:
  struct Positional {
    std::string name, shown_as, meaning;
    bool many;
  };
  [[nodiscard]] std::string help() const;
  std::string name_, summary_, epilogue_;
  boost::program_options::options_description named_;
  std::vector<Positional> positionals_;
};

/// What a `validate` throws: `--option takes WANTED, not "WORD"`.
class WrongValue : public boost::program_options::error_with_option_name {
 public:
  WrongValue(std::string const& wanted, std::string const& word);
};

/// A whole number of at least 1, for options that count: `po::value<Count>()`.
struct Count {
  int value = 1;
};
void validate(boost::any& target, std::vector<std::string> const& words, Count*, int);

/// A whole number from 0 that fits its type, for options: `po::value<FromZero<std::uint64_t>>()`. A plain unsigned
/// number would take -1 for a large one.
template <std::unsigned_integral Number>
struct FromZero {
  Number value = 0;
};
template <std::unsigned_integral Number>
void validate(boost::any& target, std::vector<std::string> const& words, FromZero<Number>*, int) {
  boost::program_options::validators::check_first_occurrence(target);
  std::string const& word = boost::program_options::validators::get_single_string(words);
  FromZero<Number> number;
  auto const [end, error] = std::from_chars(word.data(), word.data() + word.size(), number.value);
  if (error != std::errc() || end != word.data() + word.size()) {
    throw WrongValue("a whole number from 0 to " + std::to_string(std::numeric_limits<Number>::max()), word);
  }
  target = number;
}

/// One of a few words: `po::value<std::string>()->notifier(one_of("format", {"text", "csv", "json"}))`.
std::function<void(std::string const&)> one_of(std::string option, std::vector<std::string> choices);

/// `brinecast NAME: message` on standard error; returns the code, so that a fault is one `return fault(...)`.
int fault(std::string_view command, std::string_view message, ExitCode code = input_at_fault);

/// What is said where an allocation failed.
inline constexpr std::string_view out_of_memory =
    "out of memory; use fewer pools or replicates at a time, or fewer --threads";

/// `brinecast NAME` and its words as one types them into a shell, quoted where that is needed.
std::string command_text(std::string_view name, Arguments const& words);

/// Whether a signal asked to stop (SIGINT or SIGTERM). The first asks, the second ends the program at once.
void watch_signals();
bool stop_requested();

}  // namespace brinecast::tools
