// What a step of the circulating acid clean costs, by part.
//
//   bench_exercise_step [EFFORT]   // seconds or so
//
// Each part is timed alone by Google Benchmark, on the state of a clean that has recirculated for two minutes, through the
// same public functions that the engine calls; how often a step calls it is counted by the engine (Simulation::work()). The
// whole is timed in a run over the same minutes; the rest is the whole less the parts: legs, copies, events, commands.
// "Of whole" is the share of the step's cost: the reference is the step itself.
#include <benchmark/benchmark.h>

#include <cstdio>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "engine/signal/history.h"
#include "engine/step/machine.h"
#include "engine/step/transport.h"
#include "tests/support/bench_clean.h"
#include "tests/support/bench_clock.h"

namespace wetrun::bench {
namespace {

constexpr std::uint32_t volume_component = 0;

/// The plant at one instant as the engine shows it to its units, on vectors that may be written.
class Still {
public:
  Still(const Simulation& sim) : plant_(sim.plant()), s_(sim.save()) {
    n_ = plant_.components();
    cell_numbers_ = plant_.cells().size() * n_;
    Machine machine(sim.shared_plant());
    slopes_ = machine.fresh_slopes();
    machine.slopes(s_.x, sim.time_s(), {s_.memory, s_.input, s_.last}, {s_.network, s_.aux}, slopes_);
    for (std::size_t c = 0; c < plant_.cells().size(); ++c) volume_.push_back(s_.x[c * n_]);
    inflow_.assign(plant_.cells().size(), 0.0);
    z_.assign(plant_.indicator_size(), 0.0);
    totals_.assign(n_, 0.0);
    sizes_ = totals_;
    readings_ = s_.last;
  }

  const Plant& plant() const { return plant_; }
  SimulationState& state() { return s_; }
  std::span<const double> cells() const { return {s_.x.data(), cell_numbers_}; }
  World world() const {
    return {sim_time_s(), n_, cells(), s_.network.pressure_pa, s_.network.flow_m3_s, s_.network.fluid, s_.last};
  }
  OwnNumbers own(const Plant::Slot& slot) const {
    const UnitInfo& info = slot.unit->info();
    const auto slice = [](const std::vector<double>& v, std::size_t first, std::size_t count) {
      return std::span<const double>(v.data() + first, count);
    };
    return {slice(s_.x, slot.x, info.states.size()), slice(s_.memory, slot.memory, info.memory.size()),
            slice(s_.input, slot.control, info.controls.size()), slice(s_.input, slot.fault, info.faults.size()),
            slice(s_.aux, slot.aux, info.aux.size())};
  }

  void liquid() {
    for (std::size_t c = 0; c < plant_.cells().size(); ++c)
      if (plant_.cells()[c].kind == CellKind::inner) benchmark::DoNotOptimize(plant_.liquid().of({&s_.x[c * n_], n_}));
  }
  void condition(const Plant::Slot& slot) { slot.unit->condition(world(), own(slot), plant_.network(), s_.network); }
  void couple(const Plant::Slot& slot) {
    slot.unit->couple(world(), own(slot), {s_.aux.data() + slot.aux, slot.unit->info().aux.size()});
  }
  void rates(const Plant::Slot& slot) {
    const std::size_t states = slot.unit->info().states.size();
    slot.unit->rates(world(), own(slot),
                     {{slopes_.rate.data() + slot.x, states},
                      {slopes_.decay.data() + (slot.x - cell_numbers_), states},
                      {slopes_.fade.data() + (slot.x - cell_numbers_), states},
                      {slopes_.rate.data(), cell_numbers_},
                      slopes_.exchange,
                      slopes_.pass,
                      inflow_,
                      n_,
                      &slopes_.longest_leg_s});
  }
  /// Before transport(): with the components that are there, and the edges that a leg of `h_s` takes along.
  void prepare(ImplicitTransport& implicit, double h_s) {
    std::vector<std::uint32_t> present = {volume_component};
    for (std::uint32_t j = volume_component + 1; j < n_; ++j) {
      bool any = false;
      for (std::size_t i = j; i < cell_numbers_; i += n_) any = any || s_.x[i] != 0;
      if (any) present.push_back(j);
    }
    implicit.set_components(present);
    implicit.pack(cells(), packed_);
    implicit.split(s_.network.flow_m3_s, packed_, h_s);
  }
  /// One implicit stage of transport, of a leg of `h_s`.
  void transport(ImplicitTransport& implicit, double h_s) {
    amounts_ = packed_;
    implicit.solve({s_.network.flow_m3_s, s_.network.content_slope_1_s, volume_, slopes_.exchange, slopes_.pass},
                   0.29 * h_s, amounts_);
  }
  void flows_into_cells() {
    add_inflow(plant_, s_.network.flow_m3_s, inflow_);
    add_sources(plant_, s_.network.flow_m3_s, {slopes_.rate.data(), cell_numbers_});
  }
  void decide(const Plant::Slot& slot) {
    const OwnNumbers read = own(slot);
    bool moved = false;
    const UnitInfo& info = slot.unit->info();
    slot.unit->decide(world(), {{s_.x.data() + slot.x, info.states.size()},
                                {s_.memory.data() + slot.memory, info.memory.size()},
                                read.control,
                                read.fault,
                                read.aux,
                                {s_.x.data(), cell_numbers_},
                                n_,
                                &moved});
  }
  void observe(const Plant::Slot& slot) {
    slot.unit->observe(world(), own(slot), {readings_.data() + slot.reading, slot.unit->info().readings.size()});
  }
  void indicators(const Plant::Slot& slot) {
    slot.unit->indicators(world(), own(slot), {z_.data() + slot.indicator, slot.unit->info().indicators});
  }
  void holdings(const Plant::Slot& slot) { slot.unit->holdings(own(slot), {totals_, sizes_}); }
  /// As the digest of a leg: memory as it begins, and where it ends.
  void hash_leg() {
    Hash hash;
    for (const auto* list : {&s_.memory, &s_.x}) hash.add(std::span<const double>(*list));
    benchmark::DoNotOptimize(hash.value());
  }
  bool is_watched(const Plant::Slot& slot) const {
    const auto in_slot = [&](SignalId id) {
      return id.index() >= slot.reading && id.index() < slot.reading + slot.unit->info().readings.size();
    };
    return std::any_of(plant_.watched_by_units().begin(), plant_.watched_by_units().end(), in_slot);
  }

private:
  double sim_time_s() const { return static_cast<double>(s_.step) * plant_.step_s(); }
  const Plant& plant_;
  SimulationState s_;
  std::size_t n_ = 0, cell_numbers_ = 0;
  Slopes slopes_;
  std::vector<double> inflow_, z_, totals_, sizes_, readings_, volume_, amounts_, packed_;
};

/// Times by name, without the usual print.
class Collect final : public benchmark::BenchmarkReporter {
public:
  bool ReportContext(const Context&) override { return true; }
  void ReportRuns(const std::vector<Run>& runs) override {
    for (const Run& run : runs) {
      if (run.run_type != Run::RT_Iteration) continue;  // no means and deviations
      double& least = us.try_emplace(run.run_name.function_name, 1e300).first->second;
      least = std::min(least, run.GetAdjustedCPUTime() / 1e3);
    }
  }
  std::map<std::string, double> us;
};

void part(const std::string& name, std::function<void()> work, int repetitions) {
  benchmark::RegisterBenchmark(name.c_str(), [work = std::move(work)](benchmark::State& state) {
    for (auto _ : state) work();
  })->Repetitions(repetitions);
}

using Call = void (Still::*)(const Plant::Slot&);
constexpr std::pair<const char*, Call> calls[] = {{"condition", &Still::condition}, {"couple", &Still::couple},
                                                  {"rates", &Still::rates},         {"decide", &Still::decide},
                                                  {"observe", &Still::observe},     {"indicators", &Still::indicators},
                                                  {"holdings", &Still::holdings}};

/// Types of units, in the order in which they first come.
std::vector<std::string> types_of(const Plant& plant) {
  std::vector<std::string> types;
  for (const Plant::Slot& slot : plant.units())
    if (std::find(types.begin(), types.end(), slot.unit->info().type) == types.end())
      types.push_back(slot.unit->info().type);
  return types;
}

/// The inputs of the network a step later, with the solution of now: what a warm solve starts from.
NetworkState next_inputs(const Plant& plant, const NetworkState& now, const NetworkState& later) {
  NetworkState mixed = later;
  for (std::size_t i = 0; i < plant.network().nodes().size(); ++i)
    if (plant.network().nodes()[i].junction) mixed.pressure_pa[i] = now.pressure_pa[i];
  for (std::size_t k = 0; k < plant.network().links().size(); ++k)
    if (plant.network().links()[k].law) mixed.flow_m3_s[k] = now.flow_m3_s[k];
  return mixed;
}

struct Whole {
  double step_us = 1e300, solves = 0, parts = 0, legs = 0, tries = 0, leg_s = 0;  // a step
};

/// The next five minutes of the clean, as often as asked for.
Whole whole_step(const SimulationState& start, const std::shared_ptr<const Plant>& plant, int repetitions) {
  constexpr int steps = 600;
  Whole whole;
  for (int i = 0; i < repetitions; ++i) {
    Simulation sim(plant);
    sim.restore(start);
    const Simulation::Work before = sim.work();
    const double cpu_s = cpu_of([&] {
      for (int k = 0; k < steps; ++k) sim.step();
    });
    const Simulation::Work now = sim.work();
    const auto each = [](std::uint64_t from, std::uint64_t to) { return static_cast<double>(to - from) / steps; };
    whole.step_us = std::min(whole.step_us, 1e6 * cpu_s / steps);
    whole.solves = each(before.solves, now.solves);
    whole.parts = each(before.substeps, now.substeps);
    whole.legs = each(before.legs, now.legs);
    whole.tries = each(before.tries, now.tries);
    whole.leg_s = sim.step_s() / whole.legs;
  }
  return whole;
}

/// For reckoning the floor: what there is to be read and written.
void print_sizes(const Plant& plant, const SimulationState& s) {
  std::size_t junctions = 0;
  for (const Network::Node& node : plant.network().nodes()) junctions += node.junction ? 1 : 0;
  std::printf(
      "Sizes: %zu numbers integrated (%zu cells of %zu components), %zu edges, %zu exchanges, %zu filters; %zu "
      "junctions, "
      "%zu links; %zu aux, %zu memory, %zu signals, %zu units\n\n",
      s.x.size(), plant.cells().size(), plant.components(), plant.edges().size(), plant.exchanges().size(),
      plant.filters().size(), junctions, plant.network().links().size(), s.aux.size(), s.memory.size(),
      plant.signals().size(), plant.units().size());
}

}  // namespace
}  // namespace wetrun::bench

int main(int count, char** words) {
  using namespace wetrun;
  using namespace wetrun::bench;
  const double effort = effort_s(count, words, 20);
  CleanRun clean(ostrey_clean());
  while (clean.phase_name() != "recirculate") clean.step();
  for (int i = 0; i < 240; ++i) clean.step();
  const Simulation& sim = clean.simulation();
  const SimulationState start = sim.save();
  Still still(sim);
  const Plant& plant = still.plant();
  const Whole whole = whole_step(start, sim.shared_plant(), effort >= whole_effort_s ? 10 : 2);

  const std::string history = WETRUN_BINARY_DIR "/bench_exercise_step.csv";
  std::vector<SignalId> all;
  for (std::uint32_t i = 0; i < plant.signals().size(); ++i) all.push_back(SignalId{i});
  CsvRecorder recorder(history, plant.signals(), all, 1);
  // The quietest minute of five: in others the operator adds acid or turns a valve.
  const double clean_us = 1e6 / 120 * least_cpu_of(5, [&] {
                            for (int i = 0; i < 120; ++i) clean.step();
                          });
  std::vector<std::shared_ptr<const Frame>> frames;  // of every 5 s, as they are recorded
  for (int i = 0; i < 640; ++i) {
    clean.step();
    if (i % 10 == 0) frames.push_back(sim.frame());
  }
  const NetworkState mixed = next_inputs(plant, start.network, [&] {
    Simulation later(sim.shared_plant());
    later.restore(start);
    later.step();
    return later.save().network;
  }());
  NetworkState work = mixed;
  NetworkWorkspace workspace;
  ImplicitTransport implicit(plant);
  still.prepare(implicit, whole.leg_s);
  std::vector<const Plant::Slot*> watched;
  for (const Plant::Slot& slot : plant.units())
    if (still.is_watched(slot)) watched.push_back(&slot);

  const std::vector<std::string> types = types_of(plant);
  const int repetitions = 3;
  std::size_t next_frame = 0;
  std::uint64_t row = 0;
  for (const auto& [name, call] : calls) {
    part(
        name,
        [&still, call = call] {
          for (const Plant::Slot& slot : still.plant().units()) (still.*call)(slot);
        },
        repetitions);
    for (const std::string& type : types) {
      std::vector<const Plant::Slot*> slots;
      for (const Plant::Slot& slot : plant.units())
        if (slot.unit->info().type == type) slots.push_back(&slot);
      part(
          std::string(name) + " " + type,
          [&still, call = call, slots] {
            for (const Plant::Slot* slot : slots) (still.*call)(*slot);
          },
          repetitions);
    }
  }
  part(
      "copy",
      [&] {
        work = mixed;
        benchmark::ClobberMemory();
      },
      repetitions);
  part(
      "solve",
      [&] {
        work = mixed;
        solve(plant.network(), work, workspace);
      },
      repetitions);
  part(
      "liquid", [&] { still.liquid(); }, repetitions);
  part(
      "transport", [&] { still.transport(implicit, whole.leg_s); }, repetitions);
  part(
      "inflow", [&] { still.flows_into_cells(); }, repetitions);
  part(
      "watched",
      [&] {
        for (const Plant::Slot* slot : watched) still.observe(*slot);
      },
      repetitions);
  part(
      "hash", [&] { still.hash_leg(); }, repetitions);
  part(
      "row",
      [&] {
        Frame frame = *frames[next_frame++ % frames.size()];
        frame.step = row++;
        recorder.add(frame);
      },
      repetitions);

  const std::string min_time = "--benchmark_min_time=" + std::to_string(effort / 400 / repetitions);
  std::string program = words[0], least = min_time;
  char* arguments[] = {program.data(), least.data(), nullptr};
  int arguments_count = 2;
  benchmark::Initialize(&arguments_count, arguments);
  Collect collect;
  benchmark::RunSpecifiedBenchmarks(&collect);

  std::printf(
      "Recirculating: %.2f us a step; legs of %.1f s on average; a step has %.4f legs made, %.4f network solves, %.4f "
      "parts\n",
      whole.step_us, whole.leg_s, whole.tries, whole.solves, whole.parts);
  std::printf("| %-34s | %9s | %8s | %9s | %8s |\n", "part", "us a call", "calls", "us a step", "of whole");
  double sum = 0;
  const auto print = [&](const char* name, double us, double times) {
    sum += us * times;
    std::printf("| %-34s | %9.3f | %8.4f | %9.3f | %6.1f %% |\n", name, us, times, us * times,
                100 * us * times / whole.step_us);
  };
  const auto& us = collect.us;
  const double slopes = 2 * whole.tries, stages = 2 * (whole.parts + whole.tries);
  print("network: conditions", us.at("condition"), whole.solves);
  print("network: solve", us.at("solve") - us.at("copy"), whole.solves);
  print("liquid: density, viscosity", us.at("liquid"), whole.solves);
  print("chemistry: pH, speeds of reactions", us.at("couple"), whole.solves);
  print("kinetics: rates of units", us.at("rates"), slopes);
  print("transport: inflows and sources", us.at("inflow"), slopes);
  print("transport: implicit stages", us.at("transport"), stages);
  print("indicators of events", us.at("indicators"), 2 * whole.tries);
  print("audit of what units hold", us.at("holdings"), whole.legs);
  print("digest of a leg", us.at("hash"), whole.legs);
  print("discrete logic", us.at("decide"), 1);
  print("readings that somebody watches", us.at("watched"), 1);
  std::printf("| %-34s | %9s | %8s | %9.3f | %6.1f %% |\n", "rest: lines, sums, copies", "", "", whole.step_us - sum,
              100 * (1 - sum / whole.step_us));
  std::printf("The operator's eyes and the digests he notes add %.3f us a step\n", clean_us - whole.step_us);
  const double row_us = us.at("row") + us.at("observe");
  std::printf("Recording adds all readings and a row of %zu numbers every 5 s: %.3f us, %.3f us a step, %.1f %%\n",
              plant.signals().size(), row_us, row_us / 10, 10 * row_us / whole.step_us);
  print_sizes(plant, start);
  std::printf("us a call of all units of a type\n| %-12s", "");
  for (const auto& [name, call] : calls) std::printf(" | %10s", name);
  std::printf(" |\n");
  for (const std::string& type : types) {
    std::printf("| %-12s", type.c_str());
    for (const auto& [name, call] : calls) std::printf(" | %10.3f", us.at(std::string(name) + " " + type));
    std::printf(" |\n");
  }
  return 0;
}
