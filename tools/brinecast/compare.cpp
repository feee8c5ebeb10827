// brinecast compare: which policy is better, by how much, how sure.

#include "results/comparison.hpp"

#include <iostream>

#include "tools/brinecast/command.hpp"

namespace brinecast::tools {

namespace {

namespace po = boost::program_options;

int run_compare(Arguments const& arguments) {
  results::ComparisonOptions options;
  std::string format, units, by;
  Count pools;
  CommandLine line("compare", "say which policy of a result file is better, by how much and how sure");
  line.positional("file", "FILE.h5", "result file written by brinecast run");
  // clang-format off: one line an option
  line.options().add_options()("baseline", po::value(&options.baseline)->value_name("POLICY"),
                               "policy to compare with [the first]")(
      "format",
      po::value(&format)
          ->value_name("text|csv|json")
          ->default_value("text")
          ->notifier(one_of("format", {"text", "csv", "json"})),
      "form of the output")(
      "units", po::value(&units)->value_name("si|us")->default_value("si")->notifier(one_of("units", {"si", "us"})),
      "units of the output")("by",
                             po::value(&by)
                                 ->value_name("class|neighbourhood|month")
                                 ->notifier(one_of("by", {"class", "neighbourhood", "month"})),
                             "also compare within groups")("pools", po::value(&pools)->value_name("N"),
                                                           "list the N pools that lose most in a figure")(
      "figure", po::value(&options.figure)->value_name("NAME")->default_value(options.figure),
      "figure that the pools are listed for, by its name in the CSV output; alone it lists ten");
  // clang-format on
  line.epilogue(
      "Differences are paired: in equal replicates all policies meet the same weather and chance. Intervals hold at\n"
      "95 % for each line alone; the star and the closing sentence are corrected for the number of policies.");
  int exit_code = fine;
  auto const values = line.parse(arguments, exit_code);
  if (!values) return exit_code;
  options.units = units == "us" ? results::Units::us : results::Units::si;
  options.grouping = by == "class"           ? results::Grouping::pool_class
                     : by == "neighbourhood" ? results::Grouping::neighbourhood
                     : by == "month"         ? results::Grouping::month
                                             : results::Grouping::none;
  bool const figure_named = !(*values)["figure"].defaulted();
  options.pools = values->count("pools") > 0 ? static_cast<std::size_t>(pools.value) : figure_named ? 10 : 0;
  try {
    results::ResultFile const file((*values)["file"].as<std::string>());
    auto const comparison = results::compare(file, options);
    std::cout << (format == "csv"    ? results::comparison_csv(comparison)
                  : format == "json" ? results::comparison_json(comparison)
                                     : results::comparison_text(comparison));
  } catch (results::ResultError const& error) {
    return fault("compare", error.what());
  }
  return fine;
}

CommandRegistration const registration({"compare", "which policy is better, by how much, how sure", run_compare});

}  // namespace

}  // namespace brinecast::tools
