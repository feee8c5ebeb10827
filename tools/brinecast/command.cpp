#include "tools/brinecast/command.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <charconv>
#include <csignal>
#include <cstdio>
#include <iostream>
#include <sstream>

#include "sim/scenario/problems.hpp"
#include "sim/scenario/shown_text.hpp"

namespace brinecast::tools {

namespace po = boost::program_options;

namespace {

std::vector<Command>& registry() {
  static std::vector<Command> all;
  return all;
}

/// Names of all options, without dashes.
std::vector<std::string> option_names(po::options_description const& options) {
  std::vector<std::string> names;
  for (auto const& option : options.options()) names.push_back(option->long_name());
  return names;
}

volatile std::sig_atomic_t signals_seen = 0;

void on_signal(int signal_number) {
  if (signals_seen > 0) {
    std::signal(signal_number, SIG_DFL);
    std::raise(signal_number);
  }
  signals_seen = 1;
}

}  // namespace

std::vector<Command> const& commands() { return registry(); }

CommandRegistration::CommandRegistration(Command command) {
  auto& all = registry();
  all.insert(std::upper_bound(all.begin(), all.end(), command,
                              [](Command const& a, Command const& b) { return a.name < b.name; }),
             std::move(command));
}

CommandLine::CommandLine(std::string name, std::string summary)
    : name_(std::move(name)), summary_(std::move(summary)), named_("options", 100) {
  named_.add_options()("help", "show this text");
}

CommandLine& CommandLine::positional(std::string name, std::string shown_as, std::string meaning) {
  positionals_.push_back({std::move(name), std::move(shown_as), std::move(meaning), false});
  return *this;
}

CommandLine& CommandLine::positionals(std::string name, std::string shown_as, std::string meaning) {
  positionals_.push_back({std::move(name), std::move(shown_as), std::move(meaning), true});
  return *this;
}

CommandLine& CommandLine::epilogue(std::string text) {
  epilogue_ = std::move(text);
  return *this;
}

std::string CommandLine::help() const {
  std::ostringstream text;
  text << "brinecast " << name_ << ": " << summary_ << "\n\nusage: brinecast " << name_;
  for (auto const& word : positionals_) {
    text << ' ' << word.shown_as << (word.many ? " ..." : "");
  }
  text << " [options]\n";
  for (auto const& word : positionals_) text << fmt::format("  {:<20} {}\n", word.shown_as, word.meaning);
  text << '\n' << named_;
  if (!epilogue_.empty()) text << '\n' << epilogue_ << '\n';
  return text.str();
}

std::optional<po::variables_map> CommandLine::parse(Arguments const& arguments, int& exit_code) const {
  po::options_description all;
  all.add(named_);
  po::options_description hidden;
  po::positional_options_description order;
  for (auto const& word : positionals_) {
    if (word.many) {
      hidden.add_options()(word.name.c_str(), po::value<std::vector<std::string>>());
    } else {
      hidden.add_options()(word.name.c_str(), po::value<std::string>());
    }
    order.add(word.name.c_str(), word.many ? -1 : 1);
  }
  all.add(hidden);
  auto const wrong = [&](std::string const& message) {
    exit_code = fault(name_, fmt::format("{} (brinecast {} --help lists all)", message, name_), wrong_usage);
    return std::nullopt;
  };
  po::variables_map values;
  try {
    // No guessing: an abbreviated option would change its meaning when a longer one is added.
    auto const style = po::command_line_style::default_style & ~po::command_line_style::allow_guessing;
    po::store(po::command_line_parser(arguments).options(all).positional(order).style(style).run(), values);
    if (values.count("help") > 0) {
      std::cout << help();
      exit_code = fine;
      return std::nullopt;
    }
    for (auto const& word : positionals_) {
      if (values.count(word.name) == 0) {
        return wrong(fmt::format("{} is missing: {}", word.shown_as, word.meaning));
      }
    }
    po::notify(values);
  } catch (po::unknown_option const& error) {
    std::string const option = error.get_option_name();
    std::string bare = option;
    bare.erase(0, bare.find_first_not_of('-'));
    std::string const near = sim::nearest_word(bare, option_names(named_));
    return wrong(fmt::format("unknown option {}{}", option, near.empty() ? "" : "; did you mean --" + near + "?"));
  } catch (po::too_many_positional_options_error const&) {
    return wrong("too many words");
  } catch (po::error const& error) {
    return wrong(error.what());
  }
  return values;
}

WrongValue::WrongValue(std::string const& wanted, std::string const& word)
    // The library puts the option's name into the text once it knows it.
    : po::error_with_option_name("%canonical_option% takes " + wanted + ", not \"" + word + "\"") {}

void validate(boost::any& target, std::vector<std::string> const& words, Count*, int) {
  po::validators::check_first_occurrence(target);
  std::string const& word = po::validators::get_single_string(words);
  Count count;
  auto const [end, error] = std::from_chars(word.data(), word.data() + word.size(), count.value);
  if (error != std::errc() || end != word.data() + word.size() || count.value < 1) {
    throw WrongValue("a whole number of at least 1, for example 20", word);
  }
  target = count;
}

std::function<void(std::string const&)> one_of(std::string option, std::vector<std::string> choices) {
  return [option = std::move(option), choices = std::move(choices)](std::string const& word) {
    if (std::find(choices.begin(), choices.end(), word) != choices.end()) return;
    std::string const near = sim::nearest_word(word, choices);
    throw po::error(fmt::format("--{} takes one of {}, not \"{}\"{}", option, fmt::join(choices, ", "), word,
                                near.empty() ? "" : "; did you mean " + near + "?"));
  };
}

int fault(std::string_view command, std::string_view message, ExitCode code) {
  fmt::print(stderr, "brinecast {}: {}\n", command, sim::printable(message));
  return code;
}

std::string command_text(std::string_view name, Arguments const& words) {
  std::string text = fmt::format("brinecast {}", name);
  for (auto const& word : words) {
    bool const plain = !word.empty() && std::all_of(word.begin(), word.end(), [](unsigned char c) {
      return std::isalnum(c) != 0 ||
             std::string_view("-_./,:=+@%").find(static_cast<char>(c)) != std::string_view::npos;
    });
    text += ' ';
    if (plain) {
      text += word;
      continue;
    }
    text += '\'';
    for (char const c : word) text += c == '\'' ? std::string("'\\''") : std::string(1, c);
    text += '\'';
  }
  return text;
}

void watch_signals() {
  std::signal(SIGINT, on_signal);
  std::signal(SIGTERM, on_signal);
}

bool stop_requested() { return signals_seen > 0; }

}  // namespace brinecast::tools
