// What is done before any work, so that the program ends with a clear line also where little is left to end with.

#include <execinfo.h>
#include <sys/mman.h>
#include <unistd.h>

#include <cstddef>
#include <cstdlib>
#include <exception>
#include <new>

#include "tools/brinecast/command.hpp"

namespace brinecast::tools {

namespace {

// C libraries that we build on crash where the first few MiB are missing that they ask for.
constexpr std::size_t to_begin_bytes = std::size_t{20} << 20;

constexpr std::string_view fault_of_program = "a fault of the program, please report it";

/// Writes without asking for memory, plain characters only.
void say(std::string_view text) {
  for (char const c : text) {
    char const shown = c >= ' ' && c <= '~' ? c : '?';
    if (write(STDERR_FILENO, &shown, 1) != 1) return;
  }
}

[[noreturn]] void end_line_and_program() {
  static_cast<void>(!write(STDERR_FILENO, "\n", 1));
  std::_Exit(input_at_fault);
}

/// For what nothing catches, from whichever thread.
[[noreturn]] void on_terminate() {
  say("brinecast: ");
  try {
    if (auto const thrown = std::current_exception()) std::rethrow_exception(thrown);
    say(fault_of_program);
  } catch (std::bad_alloc const&) {
    say(out_of_memory);
  } catch (std::exception const& error) {
    say(fault_of_program);
    say(": ");
    say(error.what());
  } catch (...) {
    say(fault_of_program);
  }
  end_line_and_program();
}

/// Runs before the start of the libraries that are linked in, HDF5 among them, and so before main.
[[gnu::constructor(101)]] void take_precautions() {
  std::set_terminate(on_terminate);
  // The first call loads the C library's unwinder. Else that happens in the middle of an exception that passes through
  // the C library, as one from std::call_once does, and aborts the program where there is no memory for it.
  void* frame = nullptr;
  backtrace(&frame, 1);
  // Not through the allocator, which learns from what it is asked for.
  void* const bytes = mmap(nullptr, to_begin_bytes, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
  if (bytes == MAP_FAILED) {
    say("brinecast: ");
    say(out_of_memory);
    end_line_and_program();
  }
  munmap(bytes, to_begin_bytes);
}

}  // namespace

}  // namespace brinecast::tools
