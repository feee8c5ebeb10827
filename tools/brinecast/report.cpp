// brinecast report: a result file as one page that works offline.

#include "results/report/report.hpp"

#include <fmt/format.h>

#include <cstdio>

#include "tools/brinecast/command.hpp"
#include "tools/brinecast/output_file.hpp"

namespace brinecast::tools {

namespace {

namespace po = boost::program_options;

int run_report(Arguments const& arguments) {
  results::ReportOptions options;
  std::string out, units;
  CommandLine line("report", "write a result file as one page that any browser shows, offline, too");
  line.positional("file", "FILE.h5", "result file written by brinecast run");
  // clang-format off: one line an option
  line.options().add_options()
      ("out", po::value(&out)->value_name("PAGE.html")->required(), "page to write")
      ("baseline", po::value(&options.baseline)->value_name("POLICY"), "policy to compare with [the first]")
      ("units", po::value(&units)->value_name("si|us")->default_value("si")->notifier(one_of("units", {"si", "us"})),
       "units of the page");
  // clang-format on
  line.epilogue("The page asks no network for anything. Its figures are those of brinecast compare and supplies.");
  int exit_code = fine;
  auto const values = line.parse(arguments, exit_code);
  if (!values) return exit_code;
  options.units = units == "us" ? results::Units::us : results::Units::si;
  std::string const input = (*values)["file"].as<std::string>();
  try {
    results::ResultFile const file(input);
    std::vector<std::filesystem::path> read{input, file.run().scenario_path};
    for (auto const& each : file.run().input_files) read.emplace_back(each.path);
    if (auto const why = fault_of_page(out, read); !why.empty()) return fault("report", why);
    std::string const page = results::report_page(file, options);
    if (auto const why = write_output(out, page); !why.empty()) return fault("report", why);
  } catch (results::ResultError const& error) {
    return fault("report", error.what());
  }
  return fine;
}

CommandRegistration const registration({"report", "a result file as one page that works offline", run_report});

}  // namespace

}  // namespace brinecast::tools
