// Cost of a step as the skid grows: arrays in parallel, elements of an array, cells of a line, dissolved components.
//
//   bench_skid_growth [EFFORT]                                        // from 10 on: longer runs, more repetitions
//   bench_skid_growth 30 | python3 tests/bench/skid_growth_plot.py > tests/bench/skid_growth.svg
//
// The skid is the small rig of the tests with arrays between its forward line and its return; everything circulates and
// nobody touches it. CPU time of a step, least of some repetitions. "Of linear": the cost over that on the straight line
// through the first and the middle row; 1 is linear, less is better. "Numbers" are those integrated; "leg s" is how long
// the engine's legs are.
#include <algorithm>
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

/// A grown skid that circulates, and what its steps cost.
class Grown {
public:
  explicit Grown(const Size& size) : plant_(plant_of(size)), sim_(plant_) {
    for (const char* control : {"panel.breaker", "panel.disconnect", "panel.switch"})
      sim_.send({.target = plant_->signal(control), .value = 1, .actor = Actor::desk});
    go(settled_s);
    start_ = sim_.save();
  }
  void measure(double seconds) {
    sim_.restore(start_);
    const std::uint64_t legs = sim_.work().legs;
    const double cpu_s = cpu_of([&] { go(settled_s + seconds); });
    step_us_ = std::min(step_us_, 1e6 * cpu_s / (seconds / sim_.step_s()));
    leg_s_ = seconds / static_cast<double>(sim_.work().legs - legs);
  }
  std::size_t numbers() const { return plant_->x_size(); }
  double step_us() const { return step_us_; }
  double leg_s() const { return leg_s_; }

private:
  static constexpr double settled_s = 120;
  void go(double to_s) {
    while (sim_.time_s() < to_s) sim_.step();
  }
  std::shared_ptr<const Plant> plant_;
  Simulation sim_;
  SimulationState start_;
  double step_us_ = 1e300, leg_s_ = 0;
};

struct Row {
  int count;
  Size size;
};

void table(const char* what, const std::vector<Row>& rows, double seconds, int repetitions) {
  std::vector<Grown> skids;
  for (const Row& row : rows) skids.emplace_back(row.size);
  for (int i = 0; i < repetitions; ++i)  // in turn, so that a busy moment of the machine meets all of them
    for (Grown& skid : skids) skid.measure(seconds);
  std::printf("| %-22s | %7s | %8s | %9s | %9s |\n", what, "numbers", "us/step", "leg s", "of linear");
  const std::size_t middle = rows.size() / 2;
  const double slope = (skids[middle].step_us() - skids[0].step_us()) / (rows[middle].count - rows[0].count);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const double linear = skids[0].step_us() + slope * (rows[i].count - rows[0].count);
    std::printf("| %-22d | %7zu | %8.2f | %9.2f | %9.2f |\n", rows[i].count, skids[i].numbers(), skids[i].step_us(),
                skids[i].leg_s(), skids[i].step_us() / linear);
  }
  std::printf("\n");
  std::fflush(stdout);
}

}  // namespace
}  // namespace wetrun::bench

int main(int count, char** words) {
  using namespace wetrun::bench;
  const bool whole = effort_s(count, words, 30) >= whole_effort_s;
  const double seconds = whole ? 900 : 60;  // eight arrays overload the small pump's motor, which trips after 20 minutes
  const int repetitions = whole ? 12 : 2;
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
