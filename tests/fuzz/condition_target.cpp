// Conditions: a complaint names a column of the text; a condition says the same when its own text is parsed again.
#include "engine/signal/condition.h"
#include "tests/fuzz/fuzz.h"

namespace {

using namespace wetrun;
using namespace wetrun::fuzz;

SignalTable make_table() {
  SignalTable table;
  const auto add = [&](const char* name, const char* unit, SignalKind kind, Visibility visibility) {
    SignalInfo row;
    row.name = name;
    row.unit = unit;
    row.kind = kind;
    row.visibility = visibility;
    row.max = 10;
    table.add(row);
  };
  add("a.p", "Pa", SignalKind::reading, Visibility::skid);
  add("a.q", "m3/s", SignalKind::reading, Visibility::truth);
  add("t", "K", SignalKind::reading, Visibility::skid);
  add("u", "K", SignalKind::reading, Visibility::desk);
  add("d", "K_diff", SignalKind::reading, Visibility::skid);
  add("run", "1", SignalKind::control, Visibility::skid);
  add("ph", "pH", SignalKind::reading, Visibility::skid);
  add("f", "1", SignalKind::fault, Visibility::desk);
  return table;
}

void look_at(const Condition& condition, const SignalTable& table) {
  const Condition again = Condition::parse(condition.text(), table);
  WETRUN_REQUIRE(again.memory_size() == condition.memory_size() && again.signals() == condition.signals());
  std::vector<double> memory = condition.fresh_memory(), same = again.fresh_memory();
  Frame frame;
  for (int k = 0; k < 4; ++k) {
    frame.step = static_cast<std::uint64_t>(k);
    frame.time_s = 40.0 * k;
    frame.value.assign(table.size(), k == 3 ? std::nan("") : 3.0 * k);
    WETRUN_REQUIRE(condition.evaluate(frame, 10, memory) == again.evaluate(frame, 10, same));
    WETRUN_REQUIRE(memory == same);
    for (const Condition::Reading& reading : condition.readings(frame)) require_one_line(reading.text);
  }
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const SignalTable table = make_table();
  const std::string text = text_of(data, size);
  try {
    const Condition condition = Condition::parse(text, table);
    accepted();
    look_at(condition, table);
    takes(Placed::anywhere, [&] { Condition::parse(text, table, Visibility::skid); });
  } catch (const InputError& error) {
    require_complaint(error, Placed::anywhere);
    WETRUN_REQUIRE(error.where().column >= 1 && static_cast<std::size_t>(error.where().column) <= size + 1);
  }
  return 0;
}
