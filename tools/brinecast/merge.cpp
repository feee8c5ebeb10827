// brinecast merge: join the parts that `brinecast run --shard i/n` left into one result file.

#include <fmt/format.h>

#include <filesystem>
#include <system_error>

#include "results/store.hpp"
#include "tools/brinecast/command.hpp"
#include "tools/brinecast/progress.hpp"

namespace brinecast::tools {

namespace {

int run(Arguments const& arguments) {
  CommandLine line("merge", "join the parts of a run that was split with --shard");
  line.positional("out", "FILE.h5", "result file to write").positionals("parts", "PART", "files that the shards left");
  line.epilogue("example: brinecast merge season.h5 season.h5.part-*");
  int exit_code = fine;
  auto const values = line.parse(arguments, exit_code);
  if (!values) return exit_code;
  std::filesystem::path const out = (*values)["out"].as<std::string>();
  std::error_code why_not;
  auto const status = std::filesystem::status(out, why_not);
  if (status.type() == std::filesystem::file_type::none || out.empty())
    return fault("merge", fmt::format("\"{}\" is no name for a file; give another", out.string()));
  if (std::filesystem::exists(status))
    return fault("merge", fmt::format("{} is already there; choose another name", out.string()));
  std::vector<std::filesystem::path> parts;
  for (auto const& part : (*values)["parts"].as<std::vector<std::string>>()) parts.emplace_back(part);
  try {
    results::merge(out, parts, command_text("merge", arguments));
  } catch (results::ResultError const& error) {
    return fault("merge", error.what());
  }
  note(fmt::format("results: {}", out.string()));
  return fine;
}

CommandRegistration const registration({"merge", "join the parts of a run that was split with --shard", run});

}  // namespace

}  // namespace brinecast::tools
