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
#include "engine/step/transport.h"
#include "tests/support/bench_clean.h"
#include "tests/support/bench_clock.h"

namespace wetrun::bench {
namespace {

/// The plant at one instant as the engine shows it to its units, on vectors that may be written.
class Still {
public:
  Still(const Simulation& sim) : plant_(sim.plant()), s_(sim.save()) {
    n_ = plant_.components();
    cell_numbers_ = plant_.cells().size() * n_;
    dxdt_.assign(s_.x.size(), 0.0);
    decay_.assign(s_.x.size() - cell_numbers_, 0.0);
    exchange_.assign(2 * plant_.exchanges().size(), 0.0);
    inflow_.assign(plant_.cells().size(), 0.0);
    z_.assign(plant_.indicator_size(), 0.0);
    totals_.assign(n_, 0.0);
    readings_ = s_.last;
  }

  const Plant& plant() const { return plant_; }
  SimulationState& state() { return s_; }
  std::span<const double> cells() const { return {s_.x.data(), cell_numbers_}; }
  std::span<double> dcells() { return {dxdt_.data(), cell_numbers_}; }
  std::span<const double> exchange() const { return exchange_; }
  std::span<double> inflow() { return inflow_; }
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
                     {{dxdt_.data() + slot.x, states},
                      {decay_.data() + (slot.x - cell_numbers_), states},
                      dcells(),
                      exchange_,
                      inflow_,
                      n_});
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
  void holdings(const Plant::Slot& slot) { slot.unit->holdings(own(slot), totals_); }
  void hash() {
    Hash hash;
    for (const auto* list : {&s_.x, &s_.memory, &s_.aux, &s_.network.pressure_pa, &s_.network.flow_m3_s})
      hash.add(std::span<const double>(*list));
    benchmark::DoNotOptimize(hash.value());
  }

private:
  double sim_time_s() const { return static_cast<double>(s_.step) * plant_.step_s(); }
  const Plant& plant_;
  SimulationState s_;
  std::size_t n_ = 0, cell_numbers_ = 0;
  std::vector<double> dxdt_, decay_, exchange_, inflow_, z_, totals_, readings_;
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
  double step_us = 1e300, solves = 0, rates = 0;  // a step
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
    whole.step_us = std::min(whole.step_us, 1e6 * cpu_s / steps);
    whole.solves = static_cast<double>(sim.work().solves - before.solves) / steps;
    whole.rates = 4.0 * static_cast<double>(sim.work().substeps - before.substeps) / steps;
  }
  return whole;
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
      "transport",
      [&] {
        add_transport(plant, still.cells(), still.state().network.flow_m3_s, still.dcells());
        add_exchange(plant, still.cells(), still.exchange(), still.dcells());
        add_inflow(plant, still.state().network.flow_m3_s, still.inflow());
      },
      repetitions);
  part(
      "hash", [&] { still.hash(); }, repetitions);
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

  std::printf("Recirculating: %.2f us a step, %.3f network solves and %.3f evaluations of rates a step\n",
              whole.step_us, whole.solves, whole.rates);
  std::printf("| %-34s | %9s | %8s | %9s | %8s |\n", "part", "us a call", "calls", "us a step", "of whole");
  double sum = 0;
  const auto print = [&](const char* name, double us, double times) {
    sum += us * times;
    std::printf("| %-34s | %9.3f | %8.3f | %9.3f | %6.1f %% |\n", name, us, times, us * times,
                100 * us * times / whole.step_us);
  };
  const auto& us = collect.us;
  print("network: conditions", us.at("condition"), whole.solves);
  print("network: solve", us.at("solve") - us.at("copy"), whole.solves);
  print("liquid: density, viscosity", us.at("liquid"), whole.solves);
  print("chemistry: pH, speeds of reactions", us.at("couple"), whole.solves);
  print("kinetics: rates of units", us.at("rates"), whole.rates);
  print("transport between cells", us.at("transport"), whole.rates);
  print("discrete logic", us.at("decide"), 1);
  print("indicators of events", us.at("indicators"), 2);
  print("readings", us.at("observe"), 1);
  print("audit of what units hold", us.at("holdings"), 1);
  print("hash of the state", us.at("hash"), 1);
  std::printf("| %-34s | %9s | %8s | %9.3f | %6.1f %% |\n", "rest", "", "", whole.step_us - sum,
              100 * (1 - sum / whole.step_us));
  std::printf("Recording adds a row of %zu numbers every 5 s: %.3f us, %.3f us a step, %.1f %%\n\n",
              plant.signals().size(), us.at("row"), us.at("row") / 10, 100 * us.at("row") / 10 / whole.step_us);
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
