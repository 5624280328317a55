// --set PATH=VALUE, one a line, for a skid, an exercise and a sequence at once: what is taken is a value of the file, and
// the skid with it is built or refused.
#include "models/skid/skid.h"
#include "tests/fuzz/bench_skid.h"
#include "tests/fuzz/fuzz.h"
#include "trainer/exercise/library.h"

namespace {

using namespace wetrun;
using namespace wetrun::fuzz;

constexpr char exercise[] = R"(kind = "exercise"
title = "Bench"
duration = "75 min"
cautions = ["one", "two"]
[start]
"unit.valve.kv" = "10 m3/h/bar^0.5"
[[rule]]
name = "first"
points = 8
)";
constexpr char sequence[] = R"(kind = "sequence"
title = "Bench"
[[phase]]
name = "open"
within = "10 min"
do = [{ set = "valve.opening", to = "open" }]
)";

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::vector<Override> overrides;
  for (const std::string& line : split(text_of(data, size), "\n"))
    takes(Placed::anywhere, [&] { overrides.push_back(parse_override(line)); });
  if (overrides.empty()) return 0;
  Document skid = Document::parse(bench_skid, "skid.toml"), play = Document::parse(exercise, "exercise.toml"),
           work = Document::parse(sequence, "sequence.toml");
  const bool applied = takes(Placed::anywhere, [&] {
    apply_overrides(overrides, {{"skid", &skid}, {"exercise", &play}, {"sequence", &work}});
    accepted();
  });
  if (!applied) return 0;
  for (const Document* document : {&play, &work})
    takes(Placed::in_file, [&] {
      document->root().text("title");
      for (const Table& table : document->root().tables("phase")) table.quantity_or("within", "s", 0);
      for (const Table& table : document->root().tables("rule")) table.count_or("points", 1, 0, 1000);
      document->finish();
    });
  takes(Placed::in_file, [&] {
    const Skid built = build_skid(skid);
    skid.finish();
    // The same plant: not the same text, whose order is that of asking, and an override asks first.
    const bool builds = takes(Placed::at_line, [&] {
      const Document again = Document::parse(skid.expanded(), "expanded.toml");
      WETRUN_REQUIRE(Simulation(build_skid(again).plant).state_hash() == Simulation(built.plant).state_hash());
    });
    WETRUN_REQUIRE(builds);
    Simulation simulation(built.plant);
    goes_on(simulation, 2);
  });
  return 0;
}
