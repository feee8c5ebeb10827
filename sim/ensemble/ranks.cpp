#include "sim/ensemble/ranks.hpp"

#include <cstdlib>

#ifdef BRINECAST_WITH_MPI
#define OMPI_SKIP_MPICXX  // the C interface alone
#include <mpi.h>
#include <sched.h>

#include <chrono>
#include <climits>
#include <mutex>
#include <numeric>
#include <stdexcept>
#include <thread>
#endif

namespace brinecast::sim {

void Ranks::leave_at_once(int exit_code) { std::_Exit(exit_code); }

#ifdef BRINECAST_WITH_MPI

namespace {

/// MPI's own waiting keeps a core busy, which a simulating thread could use.
constexpr auto pause_between_looks = std::chrono::microseconds(200);

bool started_by_mpirun() {
  for (char const* name : {"OMPI_COMM_WORLD_SIZE", "PMIX_RANK", "PMI_RANK"}) {
    if (std::getenv(name) != nullptr) return true;
  }
  return false;
}

int size_for_mpi(std::size_t bytes) {
  if (bytes > static_cast<std::size_t>(INT_MAX)) {
    throw std::length_error("a season's results are larger than the 2 GB that a message between ranks may have");
  }
  return static_cast<int>(bytes);
}

}  // namespace

struct Ranks::Connection {
  std::mutex mutex;  // MPI is entered by one thread at a time
};

Ranks::Ranks() = default;

Ranks::Ranks(Join) {
  if (!started_by_mpirun()) return;
  int level = MPI_THREAD_SINGLE;
  MPI_Init_thread(nullptr, nullptr, MPI_THREAD_SERIALIZED, &level);
  if (level < MPI_THREAD_SERIALIZED) throw std::runtime_error("this MPI cannot be called from several threads");
  // A rank that died shall not take the others with it.
  MPI_Comm_set_errhandler(MPI_COMM_WORLD, MPI_ERRORS_RETURN);
  MPI_Comm_rank(MPI_COMM_WORLD, &own_);
  MPI_Comm_size(MPI_COMM_WORLD, &count_);
  connection_ = std::make_unique<Connection>();
  share_machine();
}

void Ranks::share_machine() {
  MPI_Comm machine = MPI_COMM_NULL;
  MPI_Comm_split_type(MPI_COMM_WORLD, MPI_COMM_TYPE_SHARED, 0, MPI_INFO_NULL, &machine);
  MPI_Comm_size(machine, &on_machine_);
  cpu_set_t own = {}, all = {};
  if (sched_getaffinity(0, sizeof(own), &own) != 0) CPU_ZERO(&own);
  MPI_Allreduce(&own, &all, sizeof(own), MPI_BYTE, MPI_BOR, machine);
  MPI_Comm_free(&machine);
  // Where that is refused a rank stays on its part, which costs only time.
  sched_setaffinity(0, sizeof(all), &all);
}

Ranks::~Ranks() {
  if (!connection_) return;
  meet();
  MPI_Finalize();
}

void Ranks::meet() {
  MPI_Request barrier = MPI_REQUEST_NULL;
  MPI_Ibarrier(MPI_COMM_WORLD, &barrier);
  for (int met = 0; met == 0;) {
    MPI_Test(&barrier, &met, MPI_STATUS_IGNORE);
    if (met == 0) std::this_thread::sleep_for(pause_between_looks);
  }
}

std::vector<std::string> Ranks::exchange(std::string const& mine) {
  if (!connection_) return {mine};
  std::lock_guard const lock(connection_->mutex);
  meet();
  auto const ranks = static_cast<std::size_t>(count_);
  int const size = size_for_mpi(mine.size());
  std::vector<int> sizes(ranks), starts(ranks);
  MPI_Allgather(&size, 1, MPI_INT, sizes.data(), 1, MPI_INT, MPI_COMM_WORLD);
  std::exclusive_scan(sizes.begin(), sizes.end(), starts.begin(), 0);
  std::string all(static_cast<std::size_t>(starts.back() + sizes.back()), '\0');
  MPI_Allgatherv(mine.data(), size, MPI_CHAR, all.data(), sizes.data(), starts.data(), MPI_CHAR, MPI_COMM_WORLD);
  std::vector<std::string> words;
  for (std::size_t rank = 0; rank < ranks; ++rank) {
    words.push_back(all.substr(static_cast<std::size_t>(starts[rank]), static_cast<std::size_t>(sizes[rank])));
  }
  return words;
}

std::optional<Ranks::Message> Ranks::poll(int tag) {
  if (!connection_) return {};
  std::lock_guard const lock(connection_->mutex);
  int there = 0;
  MPI_Message handle = MPI_MESSAGE_NULL;
  MPI_Status status;
  MPI_Improbe(MPI_ANY_SOURCE, tag < 0 ? MPI_ANY_TAG : tag, MPI_COMM_WORLD, &there, &handle, &status);
  if (there == 0) return {};
  int size = 0;
  MPI_Get_count(&status, MPI_CHAR, &size);
  Message message{
      .from = status.MPI_SOURCE, .tag = status.MPI_TAG, .bytes = std::string(static_cast<std::size_t>(size), '\0')};
  MPI_Mrecv(message.bytes.data(), size, MPI_CHAR, &handle, &status);
  return message;
}

void Ranks::send(int to, int tag, std::string const& bytes) {
  int const size = size_for_mpi(bytes.size());
  MPI_Request request = MPI_REQUEST_NULL;
  int sent = 0;
  {
    std::lock_guard const lock(connection_->mutex);
    MPI_Isend(bytes.data(), size, MPI_CHAR, to, tag, MPI_COMM_WORLD, &request);
  }
  for (;;) {
    {
      std::lock_guard const lock(connection_->mutex);
      MPI_Test(&request, &sent, MPI_STATUS_IGNORE);
    }
    if (sent != 0) return;
    std::this_thread::sleep_for(pause_between_looks);
  }
}

#else

struct Ranks::Connection {};
Ranks::Ranks() = default;
Ranks::Ranks(Join) {}
Ranks::~Ranks() = default;
void Ranks::share_machine() {}
void Ranks::meet() {}
std::vector<std::string> Ranks::exchange(std::string const& mine) { return {mine}; }
std::optional<Ranks::Message> Ranks::poll(int) { return {}; }
void Ranks::send(int, int, std::string const&) {}

#endif

}  // namespace brinecast::sim
