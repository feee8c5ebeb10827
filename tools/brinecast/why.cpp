// brinecast why: the story of a pool's visits.

#include <iostream>

#include "results/visit_story.hpp"
#include "sim/scenario/table_reader.hpp"
#include "tools/brinecast/command.hpp"

namespace brinecast::tools {

namespace {

namespace po = boost::program_options;

/// "2027-06-14" as an option's value.
struct Date {
  std::chrono::sys_days day{};
};

void validate(boost::any& target, std::vector<std::string> const& words, Date*, int) {
  po::validators::check_first_occurrence(target);
  std::string const& word = po::validators::get_single_string(words);
  auto const day = sim::parse_date(word);
  if (!day) throw WrongValue("a date, for example 2027-03-01", word);
  target = Date{*day};
}

int run_why(Arguments const& arguments) {
  results::VisitQuery query;
  std::string format, units;
  Date from, to;
  FromZero<std::uint32_t> replicate;
  CommandLine line("why", "tell why a pool was treated as it was: readings, rules, doses, expectations of each visit");
  line.positional("file", "FILE.h5", "result file written by brinecast run");
  // clang-format off: one line an option
  line.options().add_options()("pool", po::value(&query.pool)->value_name("NAME")->required(), "pool, by its name")(
      "policy", po::value(&query.policy)->value_name("POLICY"), "policy [the first]")(
      "replicate", po::value(&replicate)->value_name("N"), "replicate, from 0 [0]")(
      "from", po::value(&from)->value_name("DATE"), "first day, such as 2027-06-14 [the season's]")(
      "to", po::value(&to)->value_name("DATE"), "last day [the season's]")(
      "format",
      po::value(&format)->value_name("text|json")->default_value("text")->notifier(one_of("format", {"text", "json"})),
      "form of the output")(
      "units", po::value(&units)->value_name("si|us")->default_value("si")->notifier(one_of("units", {"si", "us"})),
      "units of the text");
  // clang-format on
  line.epilogue("brinecast compare --pools N lists the pools that lose most in a figure.");
  int exit_code = fine;
  auto const values = line.parse(arguments, exit_code);
  if (!values) return exit_code;
  if (values->count("from") > 0) query.first_day = from.day;
  if (values->count("to") > 0) query.last_day = to.day;
  query.replicate = replicate.value;
  if (values->count("from") > 0 && values->count("to") > 0 && to.day < from.day) {
    return fault("why", "--to lies before --from; exchange them", wrong_usage);
  }
  try {
    results::ResultFile const file((*values)["file"].as<std::string>());
    std::cout << (format == "json" ? results::visit_story_json(file, query)
                                   : results::visit_story_text(
                                         file, query, units == "us" ? sim::UnitSystem::us : sim::UnitSystem::si));
  } catch (results::ResultError const& error) {
    return fault("why", error.what());
  }
  return fine;
}

CommandRegistration const registration({"why", "what was read, decided and expected at a pool's visits", run_why});

}  // namespace

}  // namespace brinecast::tools
