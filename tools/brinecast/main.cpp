// brinecast: plans the care of many salt-water pools before the weather is known.

#include <fmt/format.h>

#include <cerrno>
#include <exception>
#include <iostream>
#include <new>
#include <string>
#include <system_error>

#include "sim/scenario/problems.hpp"
#include "sim/scenario/shown_text.hpp"
#include "tools/brinecast/command.hpp"

namespace {

using namespace brinecast;

void print_overview(std::ostream& out) {
  out << "brinecast: plan the care of many salt-water pools before the weather is known\n\n"
         "usage: brinecast COMMAND [words] [options]\n\ncommands:\n";
  for (auto const& command : tools::commands()) out << fmt::format("  {:<10} {}\n", command.name, command.summary);
  out << "\nbrinecast COMMAND --help explains one; brinecast --version tells the version.\n"
         "exit codes: 0 fine, 1 the input or the files are at fault, 2 wrong usage, 3 interrupted (resumable)\n";
}

int dispatch(tools::Arguments const& words) {
  if (words.empty()) {
    print_overview(std::cerr);
    return tools::wrong_usage;
  }
  std::string const& name = words.front();
  if (name == "--help") {
    print_overview(std::cout);
    return tools::fine;
  }
  if (name == "--version") {
    std::cout << "brinecast " BRINECAST_VERSION "\n";
    return tools::fine;
  }
  std::vector<std::string> names;
  for (auto const& command : tools::commands()) {
    if (command.name == name) return command.run({words.begin() + 1, words.end()});
    names.push_back(command.name);
  }
  std::string const near = sim::nearest_word(name, names);
  std::cerr << "brinecast: unknown command " << sim::printable(name)
            << (near.empty() ? "" : "; did you mean " + near + "?") << " (brinecast --help lists all)\n";
  return tools::wrong_usage;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    int const code = dispatch({argv + 1, argv + argc});
    std::cout.flush();
    if (!std::cout) {
      std::cerr << "brinecast: standard output could not be written (disk full or reader gone)\n";
      return tools::input_at_fault;
    }
    return code;
  } catch (std::bad_alloc const&) {
    std::cerr << "brinecast: " << tools::out_of_memory << '\n';
  } catch (std::exception const& error) {
    std::string const what = error.what();
    // What the system and TBB say when a thread cannot be started.
    bool const no_thread = what.find(std::generic_category().message(EAGAIN)) != std::string::npos;
    std::cerr << "brinecast: " << sim::printable(what)
              << (no_thread ? "; no room for another thread: use fewer --threads" : "") << '\n';
  }
  return tools::input_at_fault;
}
