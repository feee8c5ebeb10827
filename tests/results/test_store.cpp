#include <fcntl.h>
#include <fmt/format.h>
#include <hdf5.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <sstream>

#include "results/assembly.hpp"
#include "results/digest.hpp"
#include "results/reader.hpp"
#include "results/schema.hpp"
#include "results/store.hpp"
#include "tests/results/made_up_run.hpp"

using namespace brinecast;
using Catch::Matchers::Contains;

namespace {

/// A directory of its own for each test case.
class TemporaryDirectory {
 public:
  TemporaryDirectory() {
    std::string name = (std::filesystem::temp_directory_path() / "brinecast-XXXXXX").string();
    REQUIRE(mkdtemp(name.data()) != nullptr);
    path_ = name;
  }
  ~TemporaryDirectory() { std::filesystem::remove_all(path_); }
  std::filesystem::path operator/(std::string const& name) const { return path_ / name; }

 private:
  std::filesystem::path path_;
};

std::filesystem::path whole_file(std::filesystem::path const& path, results::RunDescription const& run) {
  results::ResultStore store(path, run, {.command = "test"});
  for (auto const& task : store.remaining()) store.accept(tests::made_up_result(run, task.policy, task.replicate));
  return store.finish();
}

std::string bytes_of(std::filesystem::path const& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream content;
  content << file.rdbuf();
  return content.str();
}

void write_bytes(std::filesystem::path const& path, std::string const& bytes) {
  std::ofstream(path, std::ios::binary) << bytes;
}

/// Every stored number of two files is the same, missing ones at the same places.
void check_same_data(std::filesystem::path const& a, std::filesystem::path const& b) {
  results::ResultFile const first(a), second(b);
  CHECK(results::to_text(first.run()) == results::to_text(second.run()));
  for (auto const& variable : results::variables()) {
    if (variable.storage == results::Storage::text || !first.has(variable.name)) continue;
    INFO(variable.name);
    auto const x = first.read(variable.name), y = second.read(variable.name);
    REQUIRE(x.size() == y.size());
    CHECK(std::equal(x.begin(), x.end(), y.begin(),
                     [](double p, double q) { return p == q || (std::isnan(p) && std::isnan(q)); }));
  }
}

}  // namespace

TEST_CASE("a season whose books do not close is not kept, by this run or by one that resumes it",
          "[results][store][unit]") {
  TemporaryDirectory const folder;
  auto const run = tests::made_up_run({});
  for (double const error : {1e-3, std::numeric_limits<double>::quiet_NaN()}) {
    results::ResultStore store(folder / "run.h5", run, {.resume = true});
    auto bad = tests::made_up_result(run, 1, 0);
    bad.book_errors.heat = error;
    CHECK_THROWS_WITH(store.accept(bad), Contains("replicate 0: the books of conservation do not close"));
    CHECK(store.remaining().size() == run.tasks());
  }
}

TEST_CASE("SHA-256 gives the digests of FIPS 180-4's examples", "[results][digest][published]") {
  // NIST, Cryptographic Standards and Guidelines, examples with intermediate values: SHA-256.
  CHECK(results::sha256("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(results::sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(results::sha256("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST_CASE("a file gives back what the tasks handed on", "[results][store][unit]") {
  TemporaryDirectory const directory;
  auto const run = tests::made_up_run({});
  auto const path = whole_file(directory / "a.h5", run);
  results::ResultFile const file(path);
  CHECK(results::to_text(file.run()) == results::to_text(run));
  CHECK(file.record().complete);
  CHECK(file.record().command == "test");
  auto const task = tests::made_up_result(run, 2, 4);
  auto const salt = file.read_task("salt_added", 2, 4);
  for (std::size_t i = 0; i < salt.size(); ++i)
    CHECK(salt[i] == static_cast<double>(static_cast<float>(task.pools.salt_added[i])));
  CHECK(file.read_task("month_cost", 2, 4) == task.months.cost);
  auto const bands = file.read_task("day_salt", 2, 4);
  for (std::size_t i = 0; i < bands.size(); ++i) {
    auto const days = static_cast<std::size_t>(run.days);
    // 12 significant bits: off by half of 2^-11 at most.
    CHECK(bands[i] == Approx(task.days.salt[i / days][i % days]).epsilon(std::ldexp(1.0, -12)).margin(0));
  }
  auto const policy = file.read("visit_policy"), replicate = file.read("visit_replicate"),
             time = file.read("visit_time");
  std::vector<double> times;
  for (std::size_t i = 0; i < time.size(); ++i) {
    if (policy[i] == 2.0 && replicate[i] == 4.0) times.push_back(time[i]);
  }
  REQUIRE(times.size() == task.visits.size());
  for (std::size_t i = 0; i < times.size(); ++i) CHECK(times[i] == task.visits[i].time_s);
}

TEST_CASE("data do not depend on the order in which tasks finish", "[results][store][unit]") {
  TemporaryDirectory const directory;
  auto const run = tests::made_up_run({});
  whole_file(directory / "a.h5", run);
  {
    results::ResultStore store(directory / "b.h5", run, {});
    auto tasks = store.remaining();
    std::reverse(tasks.begin(), tasks.end());
    for (auto const& task : tasks) store.accept(tests::made_up_result(run, task.policy, task.replicate));
    store.finish();
  }
  check_same_data(directory / "a.h5", directory / "b.h5");
}

TEST_CASE("arrays of many chunks come back whole, and their file's bytes do not depend on the number of threads",
          "[results][store][unit]") {
  TemporaryDirectory const directory;
  // More pools and visits than a chunk holds.
  auto const run = tests::made_up_run({.policies = 1, .pools = 33'000, .replicates = 2, .days = 8});
  {
    results::ResultStore store(directory / "a.h5", run, {});
    for (auto const& task : store.remaining()) store.accept(tests::made_up_result(run, task.policy, task.replicate));
  }
  std::vector<results::Journal> journals;
  journals.emplace_back(directory / "a.h5.partial");
  for (int const threads : {1, 3}) {
    results::assemble(directory / fmt::format("{}.h5", threads), journals, {.created = "now", .threads = threads});
  }
  bool const same_bytes = bytes_of(directory / "1.h5") == bytes_of(directory / "3.h5");
  CHECK(same_bytes);
  results::ResultFile const file(directory / "3.h5");
  auto const task = tests::made_up_result(run, 0, 1);
  auto const cost = file.read_task("cost", 0, 1);
  bool const same_cost =
      std::equal(cost.begin(), cost.end(), task.pools.cost.begin(), task.pools.cost.end(),
                 [](double stored, double made) { return stored == static_cast<double>(static_cast<float>(made)); });
  CHECK(same_cost);
  auto const policy = file.read("visit_policy"), replicate = file.read("visit_replicate"), number = file.read("visit"),
             time = file.read("visit_time");
  std::size_t const first = tests::made_up_result(run, 0, 0).visits.size();
  REQUIRE(time.size() == first + task.visits.size());
  REQUIRE(time.size() > 3 * 16'384);
  std::size_t wrong = 0;
  for (std::size_t i = 0; i < time.size(); ++i) {
    wrong += number[i] != static_cast<double>(i) || policy[i] != 0.0 || replicate[i] != (i < first ? 0.0 : 1.0);
    wrong += i >= first && time[i] != task.visits[i - first].time_s;
  }
  CHECK(wrong == 0);
}

TEST_CASE("a journal cut off at any byte resumes to the data of an uninterrupted run", "[results][store][hostile]") {
  TemporaryDirectory const directory;
  auto const run = tests::made_up_run({.policies = 2, .pools = 5, .replicates = 3, .days = 20});
  whole_file(directory / "whole.h5", run);
  std::string journal;
  {
    results::ResultStore store(directory / "a.h5", run, {});
    for (auto const& task : store.remaining()) store.accept(tests::made_up_result(run, task.policy, task.replicate));
  }
  journal = bytes_of(directory / "a.h5.partial");
  // Cut off inside the description nothing was simulated yet; it is synced before the first task begins.
  for (std::size_t cut :
       {std::size_t{1}, std::size_t{8}, std::size_t{20}, std::size_t{24}, std::size_t{400}, journal.size() / 3,
        journal.size() / 2, journal.size() / 2 + 1, journal.size() - 1, journal.size()}) {
    write_bytes(directory / "b.h5.partial", journal.substr(0, cut));
    results::ResultStore store(directory / "b.h5", run, {.resume = true});
    CHECK(store.found() + store.remaining().size() == run.tasks());
    for (auto const& task : store.remaining()) store.accept(tests::made_up_result(run, task.policy, task.replicate));
    store.finish();
    check_same_data(directory / "whole.h5", directory / "b.h5");
    CHECK_FALSE(std::filesystem::exists(directory / "b.h5.partial"));
  }
}

TEST_CASE("a damaged frame and what follows it is simulated again", "[results][store][hostile]") {
  TemporaryDirectory const directory;
  auto const run = tests::made_up_run({.policies = 2, .pools = 5, .replicates = 3, .days = 20});
  {
    results::ResultStore store(directory / "a.h5", run, {});
    for (auto const& task : store.remaining()) store.accept(tests::made_up_result(run, task.policy, task.replicate));
  }
  std::string journal = bytes_of(directory / "a.h5.partial");
  journal[journal.size() - 100] ^= 1;
  write_bytes(directory / "a.h5.partial", journal);
  results::ResultStore store(directory / "a.h5", run, {.resume = true});
  CHECK(store.found() == run.tasks() - 1);
}

TEST_CASE("a journal of another run is refused with the difference", "[results][store][hostile]") {
  TemporaryDirectory const directory;
  auto run = tests::made_up_run({});
  { results::ResultStore const store(directory / "a.h5", run, {}); }
  CHECK_THROWS_WITH(results::ResultStore(directory / "a.h5", run, {}), Contains("--resume"));
  run.seed = 8;
  CHECK_THROWS_WITH(results::ResultStore(directory / "a.h5", run, {.resume = true}),
                    Contains("seed: found 7, expected 8"));
  run.seed = 7;
  run.vector_target = "SSE4";
  CHECK_THROWS_WITH(results::ResultStore(directory / "a.h5", run, {.resume = true}),
                    Contains("vector target: found AVX2, expected SSE4"));
  write_bytes(directory / "a.h5.partial", "something else");
  CHECK_THROWS_WITH(results::ResultStore(directory / "a.h5", run, {.resume = true}), Contains("is no journal"));
}

TEST_CASE("a journal whose description this version cannot read is named, with a way out",
          "[results][store][hostile]") {
  TemporaryDirectory const directory;
  auto const run = tests::made_up_run({});
  auto const path = results::journal_path(directory / "a.h5", 0, 0);
  { results::ResultStore const store(directory / "a.h5", run, {}); }
  // The frame of the description stays whole: kind, CRC-32 of kind, length and text, length, text; see journal.hpp.
  std::string bytes = bytes_of(path);
  bytes.replace(bytes.find("\"currency\""), 10, "\"monetary\"");
  std::string const checked = bytes.substr(8, 4) + bytes.substr(16);
  std::uint32_t crc = ~0U;  // ISO 3309, bit by bit
  for (char const c : checked) {
    crc ^= static_cast<unsigned char>(c);
    for (int bit = 0; bit < 8; ++bit) crc = (crc >> 1U) ^ ((crc & 1U) != 0 ? 0xEDB88320U : 0U);
  }
  crc = ~crc;
  std::memcpy(bytes.data() + 12, &crc, sizeof crc);
  write_bytes(path, bytes);
  CHECK_THROWS_WITH(results::ResultStore(directory / "a.h5", run, {.resume = true}),
                    Catch::StartsWith(path.string() + ": the run's description cannot be read (") &&
                        Contains("'currency'") && Contains("delete this file to start anew"));
}

TEST_CASE("a second writer of one file is refused", "[results][store][hostile]") {
  TemporaryDirectory const directory;
  auto const run = tests::made_up_run({});
  results::ResultStore const store(directory / "a.h5", run, {});
  // Locks belong to open files, so a second one of this process is as foreign as another process.
  CHECK_THROWS_WITH(results::ResultStore(directory / "a.h5", run, {.resume = true}),
                    Contains("another process is writing it"));
}

TEST_CASE("shards merge to the data of one run", "[results][store][unit]") {
  TemporaryDirectory const directory;
  auto const run = tests::made_up_run({});
  whole_file(directory / "whole.h5", run);
  std::vector<std::filesystem::path> parts;
  for (int shard = 1; shard <= 3; ++shard) {
    results::ResultStore store(directory / "a.h5", run, {.shard = shard, .shards = 3});
    for (auto const& task : store.remaining()) store.accept(tests::made_up_result(run, task.policy, task.replicate));
    parts.push_back(store.finish());
  }
  CHECK_THROWS_WITH(results::merge(directory / "b.h5", {parts[0], parts[2]}, ""),
                    Contains("6 of 18 tasks are in no part"));
  results::merge(directory / "b.h5", parts, "");
  check_same_data(directory / "whole.h5", directory / "b.h5");
}

TEST_CASE("a foreign, cut off or newer file is refused and named", "[results][reader][hostile]") {
  TemporaryDirectory const directory;
  auto const path = whole_file(directory / "a.h5", tests::made_up_run({}));
  std::string const bytes = bytes_of(path);
  auto const opened = [&](std::string const& content) {
    write_bytes(directory / "b.h5", content);
    results::ResultFile const file(directory / "b.h5");
    // Reading everything must find what opening did not.
    for (auto const& variable : results::variables()) {
      if (variable.storage != results::Storage::text && file.has(variable.name)) (void)file.read(variable.name);
    }
  };
  CHECK_THROWS_WITH(results::ResultFile(directory / "none.h5"), Contains("none.h5: cannot be opened"));
  CHECK_THROWS_WITH(opened(""), Contains("is empty"));
  CHECK_THROWS_WITH(opened("name,volume\n"), Contains("is no HDF5 file"));
  CHECK_THROWS_WITH(opened(bytes.substr(0, bytes.size() / 2)), Contains("damaged or cut off"));
  CHECK_THROWS_WITH(opened(bytes.substr(0, bytes.size() - 1)), Contains("damaged or cut off"));
}

TEST_CASE("a result file that refers to other files is refused", "[results][reader][hostile]") {
  TemporaryDirectory const directory;
  auto const path = whole_file(directory / "a.h5", tests::made_up_run({})).string();
  auto const other = (directory / "other.h5").string();
  std::filesystem::copy_file(path, other);
  CHECK_NOTHROW(results::ResultFile(path));
  hid_t const file = H5Fopen(path.c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
  REQUIRE(file >= 0);
  SECTION("by an external link") {
    REQUIRE(H5Lcreate_external(other.c_str(), "visit", file, "elsewhere", H5P_DEFAULT, H5P_DEFAULT) >= 0);
    REQUIRE(H5Fclose(file) >= 0);
    CHECK_THROWS_WITH(results::ResultFile(path), Contains("holds a link, elsewhere; a result file refers to nothing"));
  }
  SECTION("by a soft link") {
    REQUIRE(H5Lcreate_soft("/visit", file, "elsewhere", H5P_DEFAULT, H5P_DEFAULT) >= 0);
    REQUIRE(H5Fclose(file) >= 0);
    CHECK_THROWS_WITH(results::ResultFile(path), Contains("holds a link, elsewhere; a result file refers to nothing"));
  }
  SECTION("by values kept outside") {
    hsize_t const length = 4;
    hid_t const space = H5Screate_simple(1, &length, nullptr);
    hid_t const creation = H5Pcreate(H5P_DATASET_CREATE);
    REQUIRE(H5Pset_external(creation, "/etc/passwd", 0, length) >= 0);
    hid_t const dataset = H5Dcreate2(file, "outside", H5T_NATIVE_UCHAR, space, H5P_DEFAULT, creation, H5P_DEFAULT);
    REQUIRE(dataset >= 0);
    H5Dclose(dataset);
    H5Pclose(creation);
    H5Sclose(space);
    REQUIRE(H5Fclose(file) >= 0);
    CHECK_THROWS_WITH(results::ResultFile(path), Contains("keeps the values of outside in another file"));
  }
}

TEST_CASE("a list that claims more values than its bytes can hold is refused before memory is asked for",
          "[results][reader][hostile]") {
  TemporaryDirectory const directory;
  auto const path = whole_file(directory / "a.h5", tests::made_up_run({})).string();
  hid_t const file = H5Fopen(path.c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
  REQUIRE(file >= 0);
  auto const replace = [&](char const* name, hid_t space) {
    REQUIRE(H5Ldelete(file, name, H5P_DEFAULT) >= 0);
    hid_t const creation = H5Pcreate(H5P_DATASET_CREATE);
    if (H5Sget_simple_extent_ndims(space) == 1) {
      hsize_t const chunk = 1024;
      H5Pset_chunk(creation, 1, &chunk);
    }
    hid_t const dataset = H5Dcreate2(file, name, H5T_NATIVE_DOUBLE, space, H5P_DEFAULT, creation, H5P_DEFAULT);
    REQUIRE(dataset >= 0);
    H5Dclose(dataset);
    H5Pclose(creation);
    H5Sclose(space);
    REQUIRE(H5Fclose(file) >= 0);
  };
  hsize_t const length = 1'000'000'000'000;
  for (char const* const name : {"pool_longitude", "replicate", "day_working"}) {
    DYNAMIC_SECTION("numbers of " << name) {
      replace(name, H5Screate_simple(1, &length, nullptr));
      CHECK_THROWS_WITH(results::ResultFile(path),
                        Contains(std::string(name) + " claims 1000000000000 values in 0 bytes"));
    }
  }
  SECTION("texts") {
    replace("pool", H5Screate_simple(1, &length, nullptr));
    CHECK_THROWS_WITH(results::ResultFile(path), Contains("pool claims 1000000000000 values in 0 bytes"));
  }
  SECTION("an axis without a length") {
    replace("visit", H5Screate(H5S_SCALAR));
    CHECK_THROWS_WITH(results::ResultFile(path), Contains("visit has 0 axes instead of 1"));
  }
}

TEST_CASE("the shape of a variable that is not there is a plain error", "[results][reader][hostile]") {
  TemporaryDirectory const directory;
  results::ResultFile const file(whole_file(directory / "a.h5", tests::made_up_run({})));
  CHECK_THROWS_AS(file.shape("no_such_variable"), results::ResultError);
  CHECK_THROWS_WITH(file.read_task("no_such_variable", 0, 0), Contains("variable no_such_variable is damaged"));
}

TEST_CASE("a flipped byte never passes for other data", "[results][reader][hostile]") {
  TemporaryDirectory const directory;
  auto const run = tests::made_up_run({.policies = 2, .pools = 5, .replicates = 2, .days = 20});
  auto const path = whole_file(directory / "a.h5", run);
  std::string const bytes = bytes_of(path);
  std::size_t refused = 0;
  std::size_t const step = bytes.size() / 40;
  for (std::size_t at = step / 2; at < bytes.size(); at += step) {
    std::string damaged = bytes;
    damaged[at] = static_cast<char>(damaged[at] ^ 0x10);
    write_bytes(directory / "b.h5", damaged);
    INFO("byte " << at);
    bool whole = true;
    try {
      results::ResultFile const file(directory / "b.h5");
      results::ResultFile const good(path);
      for (auto const& variable : results::variables()) {
        if (variable.storage == results::Storage::text || !good.has(variable.name)) continue;
        auto const x = good.read(variable.name), y = file.read(variable.name);
        whole = whole && x.size() == y.size() && std::equal(x.begin(), x.end(), y.begin(), [](double p, double q) {
                  return p == q || (std::isnan(p) && std::isnan(q));
                });
      }
    } catch (results::ResultError const&) {
      ++refused;
      continue;
    }
    CHECK(whole);  // the byte lay in unused room, or in an attribute of no consequence
  }
  CHECK(refused > 5);
}

TEST_CASE("a flipped byte among the texts is refused before HDF5 reads by it", "[results][reader][hostile]") {
  TemporaryDirectory const directory;
  auto const run = tests::made_up_run({.policies = 2, .pools = 5, .replicates = 2, .days = 20});
  std::string const bytes = bytes_of(whole_file(directory / "a.h5", run));
  std::string const description = results::to_text(run);
  std::size_t refused = 0, heaps = 0;
  std::string const heap_start("GCOL\1\0\0\0", 8);
  for (auto heap = bytes.find(heap_start); heap != std::string::npos;
       heap = bytes.find(heap_start, heap + 1), ++heaps) {
    // Steps without a common factor with 8 meet every byte of a length.
    for (std::size_t at = heap + 8; at < heap + 4096; at += 61) {
      std::string damaged = bytes;
      damaged[at] = static_cast<char>(damaged[at] ^ 0x10);
      write_bytes(directory / "b.h5", damaged);
      INFO("byte " << at);
      try {
        results::ResultFile const file(directory / "b.h5");
        CHECK(results::to_text(file.run()) == description);
      } catch (results::ResultError const&) {
        ++refused;
      }
    }
  }
  CHECK(heaps > 1);
  CHECK(refused > 100);
}
