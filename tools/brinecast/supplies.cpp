// brinecast supplies: what the season takes, month by month, and when to order.

#include "results/supplies.hpp"

#include <iostream>

#include "tools/brinecast/command.hpp"

namespace brinecast::tools {

namespace {

namespace po = boost::program_options;

int run_supplies(Arguments const& arguments) {
  results::SuppliesOptions options;
  std::string format, units;
  Count weeks;
  CommandLine line("supplies", "say what a season takes by month, and when to order it");
  line.positional("file", "FILE.h5", "result file written by brinecast run");
  // clang-format off: one line an option
  line.options().add_options()("policy", po::value(&options.policy)->value_name("POLICY"),
                               "policy to plan for [the first]")(
      "format",
      po::value(&format)
          ->value_name("text|csv|json")
          ->default_value("text")
          ->notifier(one_of("format", {"text", "csv", "json"})),
      "form of the output")(
      "units", po::value(&units)->value_name("si|us")->default_value("si")->notifier(one_of("units", {"si", "us"})),
      "units of the output")("weeks", po::value(&weeks)->value_name("N"), "how many of the busiest weeks to list [5]");
  // clang-format on
  line.epilogue(
      "P10, P50 and P90 are quantiles over the simulated seasons. Orders and stock levels are such that a material\n"
      "runs out in at most 5 % of them.\n"
      "Caution: keep acid and chlorine products apart; mixed, they give off poisonous chlorine gas.");
  int exit_code = fine;
  auto const values = line.parse(arguments, exit_code);
  if (!values) return exit_code;
  options.units = units == "us" ? results::Units::us : results::Units::si;
  if (values->count("weeks") > 0) options.weeks = static_cast<std::size_t>(weeks.value);
  try {
    results::ResultFile const file((*values)["file"].as<std::string>());
    auto const plan = results::plan_supplies(file, options);
    std::cout << (format == "csv"    ? results::supplies_csv(plan)
                  : format == "json" ? results::supplies_json(plan)
                                     : results::supplies_text(plan));
  } catch (results::ResultError const& error) {
    return fault("supplies", error.what());
  }
  return fine;
}

CommandRegistration const registration({"supplies", "what a season takes, month by month, and when to order",
                                        run_supplies});

}  // namespace

}  // namespace brinecast::tools
