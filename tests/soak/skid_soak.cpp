// Thousands of simulated hours of careless operating with every pair of faults, in chunks that need nothing of each other.
//
//   skid_soak [--first A] [--last B] [--of N] [--hours H] [--life N] [--log FILE] [--summary]
//
// A chunk is H simulated hours. It begins with the Ostrey skid or, each second life, with a plant of random sizes, and
// starts anew with another about every 12 hours, a life. In each quarter of an hour the crew does a handful of things and
// leaves the plant alone; meanwhile one pair of faults after another is armed, the chunk's share of all pairs, now and
// then with others on top. What must hold (tests/support/soundness.h) is looked at after every deed and every two minutes.
// Every tenth quarter is gone through twice, the second time from a snapshot's text; one life in each fourth chunk is replayed
// from its commands; both must end with the same digest. What is held on the heap must stay the same from life to life.
//
// Defaults: all chunks of 100, 100 hours each. --life N: only that life of the chunk (from 0): what a failure says to
// repeat. --log: a line of JSON is appended for each chunk, and chunks that are there already are passed over, so that a
// run can be broken off, gone on with, and done by several processes (each with its own --first and --last). --summary:
// adds up the log, and complains of what is missing. Exit code 0 if all is well, 1 if not, 2 if it was asked wrongly.
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <cstring>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>

#include "engine/core/error.h"
#include "engine/step/snapshot.h"
#include "tests/soak/pair_schedule.h"
#include "tests/support/bench_heap.h"
#include "tests/support/careless_crew.h"
#include "tests/support/random_skid.h"
#include "tests/support/soundness.h"

namespace wetrun::soak {
namespace {

using test::CarelessCrew;
using test::Soundness;

constexpr double quarter_s = 900, look_s = 120, life_h = 12.5;
constexpr int snapshot_every = 10;        // quarters
constexpr std::size_t replay_every = 4;   // chunks
constexpr double armed_together_s = 600;  // for so long at least: then a pair counts
// The heap: from life to life the same but for what is written down here; within a life a work space may grow once when
// the first of a substance comes. 128 KB in 12 hours are a byte or two a step.
constexpr std::size_t heap_slack_bytes = 1 << 14, life_slack_bytes = 1 << 17;
constexpr int settled_quarters = 8;

struct Options {
  std::size_t first = 1, last = 100, of = 100;
  double hours = 100;
  long life = -1;
  std::string log;
  bool summary = false;
};

std::size_t heap_bytes() { return static_cast<std::size_t>(bench::heap_bytes.load()); }

std::size_t resident_kb() {
  std::ifstream file("/proc/self/statm");
  std::size_t all = 0, resident = 0;
  file >> all >> resident;
  return resident * static_cast<std::size_t>(sysconf(_SC_PAGESIZE)) / 1024;
}

/// What a chunk has come to.
struct Result {
  double hours = 0, worst_balance = 0, lowest_share = 0;
  std::uint64_t deeds = 0, snapshots = 0, replays = 0, legs = 0, solves = 0, digest = 0;
  std::size_t lives = 0, heap_first = 0, heap_last = 0, resident_kb_max = 0;
  std::vector<std::string> failures;
};

/// One plant from its first step to its last.
class Life {
public:
  Life(std::shared_ptr<const Plant> plant, std::uint64_t seed, Coverage& coverage, Result& result)
      : plant_(std::move(plant)),
        sim_(plant_),
        crew_(*plant_, seed),
        sound_(*plant_),
        coverage_(coverage),
        result_(result) {
    armed_since_.assign(plant_->fault_signals().size(), -1);
  }

  /// Goes on for `quarters`, with the pairs armed one after another in equal times. Returns what went wrong, or nothing.
  std::string live(int quarters, const std::vector<Pair>& pairs) {
    std::size_t next = 0, settled_bytes = 0;
    for (int q = 0; q < quarters; ++q) {
      arm_.clear();
      while (next < pairs.size() &&
             static_cast<std::size_t>(q) * pairs.size() >= next * static_cast<std::size_t>(quarters))
        change_harm(pairs[next++]);
      if (std::string wrong = quarter(q % snapshot_every == snapshot_every / 2); !wrong.empty()) return wrong;
      const std::size_t held = heap_bytes() - sim_.commands().capacity() * sizeof(Command);
      if (q == settled_quarters) settled_bytes = held;
      if (q > settled_quarters && held > settled_bytes + life_slack_bytes)
        return "it holds " + std::to_string(held - settled_bytes) + " bytes more than after two hours";
      result_.resident_kb_max = std::max(result_.resident_kb_max, resident_kb());
    }
    return "";
  }

  std::string replay() const {
    Simulation again(plant_);
    std::size_t next = 0;
    while (again.step_index() < sim_.step_index()) {
      for (; next < sim_.commands().size() && sim_.commands()[next].step == again.step_index(); ++next)
        again.send_stamped(sim_.commands()[next]);
      again.step();
    }
    return again.digest() == sim_.digest() ? "" : "a replay ended with another digest";
  }
  const Simulation& sim() const { return sim_; }
  const Soundness& sound() const { return sound_; }

private:
  /// All faults off, then these two on, at times of their own in the first two minutes; now and then a third and a fourth.
  void change_harm(const Pair& pair) {
    const auto& faults = plant_->fault_signals();
    for (const SignalId id : faults)
      arm_.push_back({0, {.target = id, .value = plant_->signals()[id].start, .actor = Actor::desk}});
    Random& random = crew_.random();
    for (const std::size_t which : {pair.a, pair.b})
      arm_.push_back({5 + 115 * random.uniform(), crew_.harm(faults[which])});
    if (random.below(3) == 0)
      for (std::uint64_t n = 1 + random.below(2); n > 0; --n)
        arm_.push_back({5 + 600 * random.uniform(), crew_.harm(faults[random.below(faults.size())])});
  }

  std::string quarter(bool twice) {
    const double start_s = sim_.time_s();
    std::vector<CarelessCrew::Deed> deeds = crew_.burst(quarter_s, sim_.picture());
    deeds.insert(deeds.begin(), arm_.begin(), arm_.end());
    std::stable_sort(deeds.begin(), deeds.end(), [](const auto& a, const auto& b) { return a.at_s < b.at_s; });
    result_.deeds += deeds.size();
    std::unique_ptr<Simulation> twin;
    if (twice) {
      twin = std::make_unique<Simulation>(plant_);
      restore_snapshot(*twin, snapshot_text(sim_), "snapshot");
      if (twin->state_hash() != sim_.state_hash()) return "a restored snapshot has another hash";
      ++result_.snapshots;
    }
    if (std::string wrong = go_through(sim_, deeds, start_s, true); !wrong.empty()) return wrong;
    if (twin) {
      if (std::string wrong = go_through(*twin, deeds, start_s, false); !wrong.empty())
        return "after a snapshot: " + wrong;
      if (twin->digest() != sim_.digest() || twin->state_hash() != sim_.state_hash() ||
          twin->picture().value != sim_.picture().value)
        return "gone on with from a snapshot it came out otherwise";
    }
    return "";
  }

  std::string go_through(Simulation& sim, const std::vector<CarelessCrew::Deed>& deeds, double start_s, bool look) {
    std::size_t next = 0;
    double looked_s = start_s;
    while (sim.time_s() < start_s + quarter_s - 1e-6) {
      bool done = false;
      for (; next < deeds.size() && deeds[next].at_s <= sim.time_s() - start_s; ++next, done = true)
        sim.send(deeds[next].command);
      try {
        sim.step();
      } catch (const std::exception& error) {
        return std::string("a step threw: ") + error.what();
      }
      if (!look || !(done || sim.time_s() - looked_s >= look_s)) continue;
      looked_s = sim.time_s();
      if (std::string wrong = sound_.complaint(sim); !wrong.empty()) return wrong;
      count_armed(sim);
    }
    return "";
  }

  void count_armed(const Simulation& sim) {
    const auto& faults = plant_->fault_signals();
    std::vector<std::size_t> long_enough;
    for (std::size_t f = 0; f < faults.size(); ++f) {
      const bool armed = sim.picture()[faults[f]] != plant_->signals()[faults[f]].start;
      if (!armed) armed_since_[f] = -1;
      if (armed && armed_since_[f] < 0) armed_since_[f] = sim.time_s();
      if (armed && sim.time_s() - armed_since_[f] >= armed_together_s) long_enough.push_back(f);
    }
    for (std::size_t i = 0; i < long_enough.size(); ++i)
      for (std::size_t k = i + 1; k < long_enough.size(); ++k) coverage_.mark(long_enough[i], long_enough[k]);
  }

  std::shared_ptr<const Plant> plant_;
  std::size_t heap_before_ = heap_bytes();
  Simulation sim_;
  CarelessCrew crew_;
  Soundness sound_;
  Coverage& coverage_;
  Result& result_;
  std::vector<CarelessCrew::Deed> arm_;
  std::vector<double> armed_since_;
};

Result run_chunk(const Options& options, std::size_t chunk, Coverage& coverage) {
  Result result;
  const auto pairs = pairs_of(all_pairs(test::plant_of({})->fault_signals().size()), chunk, options.of);
  const auto lives = static_cast<std::size_t>(std::max(1.0, std::ceil(options.hours / life_h - 1e-9)));
  const int quarters =
      static_cast<int>(std::ceil(options.hours * 3600 / quarter_s / static_cast<double>(lives) - 1e-9));
  for (std::size_t k = 0; k < lives; ++k) {
    if (options.life >= 0 && static_cast<std::size_t>(options.life) != k) continue;
    const std::vector<Pair> mine(pairs.begin() + static_cast<std::ptrdiff_t>(pairs.size() * k / lives),
                                 pairs.begin() + static_cast<std::ptrdiff_t>(pairs.size() * (k + 1) / lives));
    const std::uint64_t seed = 1000 * (chunk + options.of * static_cast<std::uint64_t>(options.hours)) + k;
    std::string wrong;
    double at_h = 0;
    {
      Random sizes(seed);
      Life life(test::plant_of(k % 2 == 0 ? test::Sizes{} : test::random_sizes(sizes)), seed, coverage, result);
      wrong = life.live(quarters, mine);
      if (wrong.empty() && chunk % replay_every == 0 && k == chunk / replay_every % lives) {
        wrong = life.replay();
        ++result.replays;
      }
      at_h = life.sim().time_s() / 3600;
      result.hours += at_h;
      result.worst_balance = std::max(result.worst_balance, life.sound().worst_balance());
      result.lowest_share = std::min(result.lowest_share, life.sound().lowest_share());
      result.legs += life.sim().work().legs;
      result.solves += life.sim().work().solves;
      Hash hash;
      hash.add(result.digest);
      hash.add(life.sim().digest());
      result.digest = hash.value();
      ++result.lives;
    }
    const auto fail = [&](const std::string& what) {
      result.failures.push_back(what);
      std::printf(
          "FAILED chunk %zu life %zu at %.4f h: %s\n  repeat: skid_soak --first %zu --last %zu --of %zu --hours %g "
          "--life %zu\n",
          chunk, k, at_h, what.c_str(), chunk, chunk, options.of, options.hours, k);
      std::fflush(stdout);
    };
    if (!wrong.empty()) fail(wrong);
    result.heap_last = heap_bytes();
    if (result.heap_first == 0) result.heap_first = result.heap_last;
    if (result.heap_last > result.heap_first + heap_slack_bytes)
      fail("after it the heap holds " + std::to_string(result.heap_last - result.heap_first) +
           " bytes more than after the first");
  }
  return result;
}

std::map<std::size_t, nlohmann::json> read_log(const Options& options) {
  std::map<std::size_t, nlohmann::json> chunks;
  std::ifstream file(options.log);
  for (std::string line; std::getline(file, line);) {
    const nlohmann::json json = nlohmann::json::parse(line, nullptr, false);
    if (json.is_discarded() || json["of"] != options.of || json["hours_asked"] != options.hours) continue;
    chunks[json["chunk"].get<std::size_t>()] = json;
  }
  return chunks;
}

nlohmann::json to_json(const Options& options, std::size_t chunk, const Result& r, const Coverage& coverage,
                       double cpu_s) {
  return {{"chunk", chunk},
          {"of", options.of},
          {"hours_asked", options.hours},
          {"hours", r.hours},
          {"lives", r.lives},
          {"deeds", r.deeds},
          {"snapshots", r.snapshots},
          {"replays", r.replays},
          {"legs", r.legs},
          {"solves", r.solves},
          {"worst_balance", r.worst_balance},
          {"lowest_share", r.lowest_share},
          {"heap_first_bytes", r.heap_first},
          {"heap_last_bytes", r.heap_last},
          {"resident_kb_max", r.resident_kb_max},
          {"digest", std::to_string(r.digest)},
          {"cpu_s", cpu_s},
          {"failures", r.failures},
          {"pairs", coverage.text()}};
}

int summarise(const Options& options, const std::map<std::size_t, nlohmann::json>& chunks) {
  const std::size_t faults = test::plant_of({})->fault_signals().size();
  Coverage all(faults);
  double hours = 0, worst = 0, lowest = 0, cpu = 0;
  std::size_t deeds = 0, snapshots = 0, replays = 0, failures = 0, lives = 0, resident = 0;
  for (const auto& [chunk, json] : chunks) {
    all.add(json["pairs"].get<std::string>());
    hours += json["hours"].get<double>();
    cpu += json["cpu_s"].get<double>();
    worst = std::max(worst, json["worst_balance"].get<double>());
    lowest = std::min(lowest, json["lowest_share"].get<double>());
    deeds += json["deeds"].get<std::size_t>();
    snapshots += json["snapshots"].get<std::size_t>();
    replays += json["replays"].get<std::size_t>();
    lives += json["lives"].get<std::size_t>();
    resident = std::max(resident, json["resident_kb_max"].get<std::size_t>());
    for (const auto& what : json["failures"]) {
      ++failures;
      std::printf("chunk %zu: %s\n", chunk, what.get<std::string>().c_str());
    }
  }
  std::printf("%zu of %zu chunks, %.0f simulated hours in %zu lives, %.0f s of one core (%.0f times real time)\n",
              chunks.size(), options.of, hours, lives, cpu, hours * 3600 / std::max(cpu, 1e-9));
  std::printf(
      "%zu actions, %zu of %zu pairs of faults armed together, %zu quarters gone through again from a snapshot, "
      "%zu lives replayed\n",
      deeds, all.count(), all.of(), snapshots, replays);
  std::printf("worst balance %.2g, lowest amount %.2g of its peak, largest resident size %zu MB, %zu failures\n", worst,
              lowest, resident / 1024, failures);
  return failures == 0 && chunks.size() == options.of && all.count() == all.of() ? 0 : 1;
}

int run(const Options& options) {
  auto done = options.log.empty() ? std::map<std::size_t, nlohmann::json>{} : read_log(options);
  if (options.summary) return summarise(options, done);
  const std::size_t faults = test::plant_of({})->fault_signals().size();
  bool well = true;
  for (std::size_t chunk = options.first; chunk <= options.last; ++chunk) {
    if (done.contains(chunk)) continue;
    const std::clock_t start = std::clock();
    Coverage coverage(faults);
    const Result r = run_chunk(options, chunk, coverage);
    const double cpu_s = static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
    well = well && r.failures.empty();
    std::printf(
        "chunk %zu of %zu: %.1f h in %zu lives, %.1f s, %llu legs, %llu deeds, %zu pairs, %llu snapshots, %llu "
        "replays, balance "
        "%.2g, lowest %.2g, heap %zu to %zu bytes, %zu failures\n",
        chunk, options.of, r.hours, r.lives, cpu_s, static_cast<unsigned long long>(r.legs),
        static_cast<unsigned long long>(r.deeds), coverage.count(), static_cast<unsigned long long>(r.snapshots),
        static_cast<unsigned long long>(r.replays), r.worst_balance, r.lowest_share, r.heap_first, r.heap_last,
        r.failures.size());
    std::fflush(stdout);
    if (options.log.empty() || options.life >= 0) continue;
    std::ofstream(options.log, std::ios::app) << to_json(options, chunk, r, coverage, cpu_s).dump() + "\n";
  }
  return well ? 0 : 1;
}

Options read_options(int count, char** words) {
  Options o;
  const auto refuse = [](const std::string& what) {
    throw InputError(what, "see the top of tests/soak/skid_soak.cpp");
  };
  for (int i = 1; i < count; ++i) {
    const std::string name = words[i];
    if (name == "--summary") {
      o.summary = true;
      continue;
    }
    if (++i == count) refuse("'" + name + "' wants a value");
    const std::string value = words[i];
    if (name == "--log") {
      o.log = value;
      continue;
    }
    char* end = nullptr;
    const double number = std::strtod(value.c_str(), &end);
    if (value.empty() || *end != '\0' || !(number >= 0 && number <= 1e6))
      refuse("'" + value + "' is no number for " + name);
    if (name == "--first")
      o.first = static_cast<std::size_t>(number);
    else if (name == "--last")
      o.last = static_cast<std::size_t>(number);
    else if (name == "--of")
      o.of = static_cast<std::size_t>(number);
    else if (name == "--hours")
      o.hours = number;
    else if (name == "--life")
      o.life = static_cast<long>(number);
    else
      refuse("unknown option '" + name + "'");
  }
  if (o.first < 1 || o.last > o.of || o.first > o.last || !(o.hours > 0)) refuse("no such chunks or hours");
  if (o.summary && o.log.empty()) refuse("--summary wants a --log");
  return o;
}

}  // namespace
}  // namespace wetrun::soak

int main(int count, char** words) {
  try {
    return wetrun::soak::run(wetrun::soak::read_options(count, words));
  } catch (const wetrun::InputError& error) {
    std::fprintf(stderr, "skid_soak: %s\n", error.what());
    return 2;
  }
}
