// Cost of a step as the skid grows: arrays in parallel, elements of an array, cells of a line, dissolved components.
//
//   bench_skid_growth [EFFORT]                                        // from 10 on: longer runs, more repetitions
//   bench_skid_growth 30 | python3 tests/bench/skid_growth_plot.py > tests/bench/skid_growth.svg
//
// The skid is the small rig of the tests with arrays between its forward line and its return; everything circulates and
// nobody touches it. CPU time of a step, least of some repetitions. "Of linear": the cost over that on the straight line
// through the first and the second row; 1 is linear, less is better. "Numbers" are those integrated.
#include <cstdio>
#include <string>
#include <utility>
#include <vector>

#include "tests/support/bench_clock.h"
#include "tests/support/rig.h"

namespace wetrun::bench {
namespace {

struct Size {
  int arrays = 1, elements = 4, line_cells = 0;  // line_cells 0: as many as the line chooses
  int dissolved = 6;                             // components
};

/// In the order in which they come: what is dissolved, mol/m3. Together they make a buffered cleaning liquid.
constexpr std::pair<const char*, double> liquid[] = {
    {"sodium", 40}, {"chloride", 20}, {"carbonate", 2}, {"citrate", 8}, {"calcium", 2}, {"sulfate", 1},
    {"ammonia", 5}, {"phosphate", 3}, {"magnesium", 1}, {"silica", 1},  {"edta", 1},    {"iron", 0.2}};

std::string array_text(int number, int elements) {
  const std::string k = std::to_string(number);
  const auto node = [&](const char* name) {
    return "[node." + std::string(name) + k + "]\nelevation = \"1 m\"\nvolume = \"8 L\"\n";
  };
  const auto valve = [&](const std::string& name, const std::string& from, const std::string& to, const char* kv) {
    return "[unit." + name + k + "]\ntype = \"valve\"\nfrom = \"" + from + "\"\nto = \"" + to + "\"\nkv = \"" + kv +
           " m3/h/bar^0.5\"\ncharacteristic = \"ball\"\nopening = 1\n";
  };
  return node("feed") + node("concentrate") + node("permeate") + valve("feed_valve", "forward", "feed" + k, "40") +
         "[unit.array" + k + "]\ntype = \"array\"\nfeed = \"feed" + k + "\"\nconcentrate = \"concentrate" + k +
         "\"\npermeate = \"permeate" + k +
         "\"\nelevation = \"1.2 m\"\nvessels = 1\nelements = " + std::to_string(elements) + "\n[[unit.array" + k +
         ".deposit]]\nfoulant = \"carbonate_scale\"\namount = \"10 g/m2\"\nprofile = \"tail\"\nfixed = \"2 %\"\n" +
         valve("concentrate_valve", "concentrate" + k, "riser", "8") +
         valve("permeate_valve", "permeate" + k, "riser", "8");
}

std::shared_ptr<const Plant> plant_of(const Size& size) {
  std::string text = test::rig_text;
  for (int k = 1; k <= size.arrays; ++k) text += array_text(k, size.elements);
  text += "[water.liquid]\n";
  for (int i = 0; i < size.dissolved; ++i)
    text += std::string(liquid[i].first) + " = \"" + std::to_string(liquid[i].second) + " mol/m3\"\n";
  Document document = Document::parse(text, "grown.toml");
  document.override_value("start.water", "liquid");
  document.override_value("unit.pipe.diameter", "25 mm");
  document.override_value("unit.flow_valve.opening", "1");
  if (size.line_cells > 0) document.override_value("unit.pipe.cells", std::to_string(size.line_cells));
  return build_skid(document).plant;
}

struct Cost {
  std::size_t numbers = 0;
  double step_us = 0, leg_s = 0;
};

Cost measure(const Size& size, double seconds, int repetitions) {
  const std::shared_ptr<const Plant> plant = plant_of(size);
  Simulation sim(plant);
  for (const char* control : {"panel.breaker", "panel.disconnect", "panel.switch"})
    sim.send({.target = plant->signal(control), .value = 1, .actor = Actor::desk});
  const auto go = [&](double to_s) {
    while (sim.time_s() < to_s) sim.step();
  };
  go(120);
  const SimulationState start = sim.save();
  const std::uint64_t legs = sim.work().legs;
  const double least_s = least_cpu_of(repetitions, [&] {
    sim.restore(start);
    go(120 + seconds);
  });
  const double steps = seconds / sim.step_s();
  return {plant->x_size(), 1e6 * least_s / steps, seconds * repetitions / static_cast<double>(sim.work().legs - legs)};
}

struct Row {
  int count;
  Size size;
};

void table(const char* what, const std::vector<Row>& rows, double seconds, int repetitions) {
  std::printf("| %-22s | %7s | %8s | %9s | %9s |\n", what, "numbers", "us/step", "leg s", "of linear");
  double first = 0, second = 0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const Cost cost = measure(rows[i].size, seconds, repetitions);
    if (i == 0) first = cost.step_us;
    if (i == 1) second = cost.step_us;
    const double slope = i > 0 ? (second - first) / (rows[1].count - rows[0].count) : 0;
    const double linear = first + slope * (rows[i].count - rows[0].count);
    std::printf("| %-22d | %7zu | %8.2f | %9.2f | %9.2f |\n", rows[i].count, cost.numbers, cost.step_us, cost.leg_s,
                cost.step_us / linear);
    std::fflush(stdout);
  }
  std::printf("\n");
}

}  // namespace
}  // namespace wetrun::bench

int main(int count, char** words) {
  using namespace wetrun::bench;
  const bool whole = effort_s(count, words, 30) >= whole_effort_s;
  const double seconds = whole ? 1200 : 60;
  const int repetitions = whole ? 5 : 2;
  std::vector<Row> arrays, elements, cells, dissolved;
  for (const int n : {1, 2, 4, 6, 8}) arrays.push_back({n, {.arrays = n}});
  for (const int n : {1, 2, 4, 6, 8}) elements.push_back({n, {.elements = n}});
  for (const int n : {1, 10, 25, 50, 100, 200}) cells.push_back({n, {.line_cells = n}});
  for (const int n : {2, 4, 6, 8, 10, 12}) dissolved.push_back({n, {.dissolved = n}});
  table("arrays", arrays, seconds, repetitions);
  table("elements of one array", elements, seconds, repetitions);
  table("cells of the line", cells, seconds, repetitions);
  table("dissolved components", dissolved, seconds, repetitions);
  return 0;
}
